"""API: a review that was made outside the office."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers
from rest_framework.parsers import MultiPartParser

from cases.api.shared import CASE, framed, key
from cases.certification.rules import MANNERS
from cases.review import outside
from cases.review.api import DecisionOutput, sign
from cases.review.models import IndependentOpinion, OutsideReview
from cases.review.peer_api import AnswerShape
from me_office.shell.endpoints import adds, at, lists
from me_office.shell.shapes import NewShape, shape_of


class StatedAnswers(serializers.JSONField):
    """Answers to the questions of the sheet: a list of question, answer and words."""

    def to_internal_value(self, data: Any) -> list[dict[str, str]]:
        """Return the answers. Raises ValidationError."""
        shape = AnswerShape(data=super().to_internal_value(data), many=True)
        shape.is_valid(raise_exception=True)
        return [dict(one) for one in shape.validated_data]


class OutsideReviewInput(NewShape):
    """Who reviewed where, the document (PDF, JPEG or PNG), and what it states.

    Sent as multipart/form-data; `answers` is JSON. What the office's rules ask of a review they ask
    of this one.
    """

    draft_id = serializers.UUIDField()
    sha256 = serializers.CharField()
    outside_name = serializers.CharField(max_length=160)
    outside_license = serializers.CharField(max_length=80)
    outside_office = serializers.CharField(max_length=160)
    outside_on = serializers.DateField()
    outside_document = serializers.CharField(max_length=240)
    upload = serializers.FileField(allow_empty_file=True)
    kind = serializers.ChoiceField(
        choices=IndependentOpinion.KINDS, required=False, allow_blank=True, default=""
    )
    cause = serializers.CharField(required=False, allow_blank=True, default="")
    manner = serializers.ChoiceField(choices=MANNERS, required=False, allow_blank=True, default="")
    cause_agrees = serializers.BooleanField(required=False, allow_null=True, default=None)
    knows_why = serializers.CharField(required=False, allow_blank=True, default="")
    settled_words = serializers.CharField(required=False, allow_blank=True, default="")
    answers = StatedAnswers(required=False)
    words = serializers.CharField(required=False, allow_blank=True, default="")
    password = serializers.CharField(required=False, default="", write_only=True)


OutsideReviewOutput = shape_of(
    "OutsideReviewOutput", OutsideReview,
    ("id", "version", "decision", "outside_name", "sha256", "media_type", "kind", "cause",
     "manner", "cause_agrees", "manner_agrees", "knows_why", "settled_words", "answers",
     "created_by", "created_at"),
    "What another office's pathologist stated, and who recorded it.",
    answers=AnswerShape(many=True),
    outside_name=serializers.CharField(source="decision.outside_name"),
    sha256=serializers.CharField(source="file.sha256"),
    media_type=serializers.CharField(source="file.media_type"),
)  # fmt: skip


routes = [
    at(f"{CASE}/outside-reviews/", "outside-reviews", parsers=[MultiPartParser],
       get=lists("outside_reviews_list", key(framed("review")), outside.outside_reviews_of,
           OutsideReviewOutput, "Return the review that was made outside the office, if one was."),
       post=adds("outside_review_record", outside.record, OutsideReviewInput, DecisionOutput,
           "Record a review that was made outside the office, and lock the case file.",
           signed=sign)),
]  # fmt: skip
