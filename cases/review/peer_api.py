"""API of the rules of review, of who reviews, of a reviewer's own opinion and of the sheet."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers

from cases.api.shared import CASE, framed, key
from cases.certification.rules import MANNERS
from cases.review import needs, peer_actions
from cases.review.models import DraftReview, IndependentOpinion, ReviewSheet
from cases.review.needs_rules import ANSWERS, Settled
from me_office.shell.endpoints import adds, at, changes, lists
from me_office.shell.shapes import NewShape, ReadShape, shape_of


class OpinionInput(NewShape):
    """Cause and manner of one's own, or (`knows`) how the author's are known already."""

    draft_id = serializers.UUIDField()
    kind = serializers.ChoiceField(choices=IndependentOpinion.KINDS)
    cause = serializers.CharField(required=False, allow_blank=True, default="")
    manner = serializers.ChoiceField(choices=MANNERS, required=False, allow_blank=True, default="")
    words = serializers.CharField(required=False, allow_blank=True, default="")
    knows_why = serializers.CharField(required=False, allow_blank=True, default="")


class AgreeInput(ReadShape):
    """Whether the author's cause is one's own."""

    cause_agrees = serializers.BooleanField()


class SettleOpinionInput(ReadShape):
    """How a disagreement was settled, and in words."""

    how = serializers.ChoiceField(choices=Settled.choices())
    words = serializers.CharField()


OpinionOutput = shape_of(
    "OpinionOutput", IndependentOpinion,
    ("id", "version", "draft", "created_by", "created_at", "kind", "cause", "manner", "words",
     "knows_why", "author_cause", "author_manner", "cause_agrees", "manner_agrees",
     "settled_how", "settled_words", "settled_at", "settled_by"),
    "An opinion beside the author's, and what became of it where they differ.",
)  # fmt: skip


class AnswerShape(serializers.Serializer[Any]):
    """A question of the sheet with its answer and words."""

    question = serializers.CharField()
    answer = serializers.ChoiceField(choices=list(ANSWERS.items()), allow_blank=True)
    words = serializers.CharField(required=False, allow_blank=True, default="")


class SheetInput(NewShape):
    """Answers on one draft; `version` 0 begins the sheet."""

    version = serializers.IntegerField(min_value=0)
    draft_id = serializers.UUIDField()
    answers = AnswerShape(many=True)


SheetOutput = shape_of(
    "SheetOutput", ReviewSheet, ("id", "version", "draft", "created_by", "answers"),
    "A sheet with its answers.",
    answers=AnswerShape(many=True),
)  # fmt: skip


class GiveInput(ReadShape):
    """Who is to review a draft; empty for whoever takes it up."""

    draft_id = serializers.UUIDField()
    reviewer = serializers.UUIDField(allow_null=True, required=False)


class GivenOutput(serializers.ModelSerializer[DraftReview]):
    """What a draft's review needs by the office's rules, and who has it.

    Not why: the grounds may tell the author's opinion, and are shown on the page of the review.
    """

    class Meta:
        model = DraftReview
        fields = [
            "id", "version", "draft", "reviewer", "asks_opinion", "asks_sheet", "questions",
        ]  # fmt: skip


routes = [
    at(f"{CASE}/opinions/", "opinions",
       post=adds("opinion_record", peer_actions.record_opinion, OpinionInput, OpinionOutput,
           "Record an opinion of one's own, or that the author's is known.")),
    at(f"{CASE}/opinions/recorded/", "opinions-recorded",
       get=lists("opinions_list", key(framed("review")), needs.opinions_of, OpinionOutput,
           "Return the opinions that reviewers recorded, oldest first.")),
    at(f"{CASE}/opinions/<uuid:opinion_id>/compared/", "opinion-compared",
       put=changes("opinion_compare", peer_actions.compare_opinion, AgreeInput, OpinionOutput,
           "Say whether the author's cause is one's own.")),
    at(f"{CASE}/opinions/<uuid:opinion_id>/settled/", "opinion-settled",
       put=changes("opinion_settle", peer_actions.settle_disagreement, SettleOpinionInput,
           OpinionOutput,
           "Say how a disagreement was settled.")),
    at(f"{CASE}/sheets/", "sheets",
       post=adds("sheet_fill", peer_actions.fill_sheet, SheetInput, SheetOutput,
           "Answer questions of the review sheet.")),
    at(f"{CASE}/sheets/filled/", "sheets-filled",
       get=lists("sheets_list", key(framed("review")), needs.sheets_of, SheetOutput,
           "Return the review sheets of a case, oldest first.")),
    at(f"{CASE}/reviewer/", "reviewer",
       put=changes("review_give", peer_actions.give_review, GiveInput, GivenOutput,
           "Give the review of a draft to somebody.")),
]  # fmt: skip
