"""API of report, review and addenda."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.response import Response
from rest_framework.views import APIView

from cases.api.shared import CASE, framed, key
from cases.review import actions, comparing, finishing, queries, threads
from cases.review.comment_rules import RETURN_CAUSES, Anchor, Weight
from cases.review.content import report_content
from cases.review.differences import Kind
from cases.review.models import (
    Addendum,
    CommentReply,
    Report,
    ReportDraft,
    ReviewComment,
    ReviewDecision,
)
from me_office.accounts.models import Staff
from me_office.accounts.requests import StaffApiRequest
from me_office.accounts.tries import wrong_own_password
from me_office.audit.errors import Refused, TooSoon
from me_office.shell.api import REFUSALS_OF_A_PASSWORD, checked
from me_office.shell.endpoints import adds, at, changes, lists, reads
from me_office.shell.shapes import NewShape, ReadShape, ReasonShape, sent_shape, shape_of


class ReportInput(NewShape):
    """The report's own words."""

    version = serializers.IntegerField(min_value=0)
    history = serializers.CharField(allow_blank=True, required=False)
    summary = serializers.CharField(allow_blank=True, required=False)
    opinion = serializers.CharField(allow_blank=True, required=False)


class ReportOutput(serializers.ModelSerializer[Report]):
    """The report's own words, its state, and the whole report as it reads now."""

    content = serializers.SerializerMethodField()

    class Meta:
        model = Report
        fields = [
            "id",
            "version",
            "state",
            "history",
            "summary",
            "opinion",
            "drafts_sent",
            "content",
        ]

    def get_content(self, report: Report) -> dict[str, Any]:
        """Return the report as plain values."""
        return report_content(report.case_id)


class SubmitInput(NewShape, ReadShape):
    """The author signs with `password` and sends to review; `id` is the draft's key."""

    note = serializers.CharField(allow_blank=True, required=False, default="")
    reviewer = serializers.UUIDField(
        required=False, allow_null=True, default=None, help_text="Who is asked to review it"
    )
    password = serializers.CharField(required=False, default="", write_only=True)
    acknowledged = serializers.ListField(
        child=serializers.CharField(),
        required=False,
        default=list,
        max_length=200,
        help_text="Keys of what is not available at signing",
    )


DraftOutput = shape_of(
    "DraftOutput", ReportDraft,
    ("id", "version", "number", "sha256", "submitted_at", "note", "content"),
    "A frozen draft.",
)  # fmt: skip


class PieceOutput(serializers.Serializer[Any]):
    """Words that both readings say, that only the earlier says, or that only the later says."""

    of = serializers.ChoiceField(choices=["both", "before", "after"])
    words = serializers.CharField()


class DifferenceOutput(serializers.Serializer[Any]):
    """A passage, fact or row of the report that differs between two readings."""

    key = serializers.CharField()
    section = serializers.CharField()
    called = serializers.CharField()
    kind = serializers.ChoiceField(choices=[one.value for one in Kind])
    pieces = PieceOutput(many=True)


class CommentInput(NewShape):
    """A comment on a draft; `passage` is the key of what `anchor` says, empty for the whole."""

    draft_id = serializers.UUIDField()
    anchor = serializers.ChoiceField(
        choices=[one.value for one in Anchor], required=False, default=Anchor.PASSAGE.value
    )
    passage = serializers.CharField(required=False, allow_blank=True, default="")
    weight = serializers.ChoiceField(
        choices=[one.value for one in Weight], required=False, default=Weight.SUGGESTION.value
    )
    comment = serializers.CharField()


class AnswerInput(ReadShape):
    """The author's answer."""

    answer = serializers.CharField()


class ReplyInput(NewShape):
    """A reply in the thread of a comment."""

    words = serializers.CharField()


ReplyOutput = shape_of(
    "ReplyOutput", CommentReply, ("id", "version", "comment", "words", "created_by", "created_at"),
    "A reply, with who said it when.",
)  # fmt: skip


class ResolveInput(ReadShape):
    """Says that a comment is settled, and how."""

    words = serializers.CharField(required=False, allow_blank=True, default="")


class ReopenInput(ReasonShape):
    """Why a comment is not settled after all."""


CommentOutput = shape_of(
    "CommentOutput", ReviewComment,
    ("id", "version", "draft", "anchor", "passage", "quoted", "weight", "comment", "answer",
     "replies", "resolved_at", "resolved_by", "resolved_words"),
    "A comment with its answer and its replies.",
    replies=ReplyOutput(many=True, read_only=True),
)  # fmt: skip


class DecisionInput(NewShape):
    """Sends a draft back or finishes it. Finishing needs `sha256` and the person's `password`.

    `waived` leaves the review out by the office's rule, with `words` as the reason. A review made
    outside the office comes with its document, at `outside-reviews/`.
    """

    draft_id = serializers.UUIDField()
    outcome = serializers.ChoiceField(
        choices=[one for one in ReviewDecision.OUTCOMES if one[0] != "outside"]
    )
    words = serializers.CharField(allow_blank=True, required=False, default="")
    causes = serializers.ListField(
        child=serializers.ChoiceField(choices=list(RETURN_CAUSES.items())),
        required=False,
        default=list,
        help_text="Why a draft is sent back, to be counted",
    )
    sha256 = serializers.CharField(required=False, default="")
    password = serializers.CharField(required=False, default="", write_only=True)


DecisionOutput = shape_of(
    "DecisionOutput", ReviewDecision,
    ("id", "version", "draft", "outcome", "words", "causes", "decided_at", "sha256",
     "sentence"),
    "What was decided on a draft.",
)  # fmt: skip
AddendumInput = sent_shape(
    "AddendumInput", Addendum, ("id", "kind", "amends", "text", "why", "rests_on", "password"),
    "What is added to, or changed in, a signed report; `password` is the person's own.",
    rests_on=serializers.UUIDField(required=False, allow_null=True),
    password=serializers.CharField(required=False, default="", write_only=True),
)  # fmt: skip
AddendumOutput = shape_of(
    "AddendumOutput", Addendum,
    ("id", "version", "number", "kind", "amends", "text", "why", "rests_on", "made_at"),
    "An addendum or amendment.",
)  # fmt: skip


def require_password(request: StaffApiRequest, password: str) -> None:
    """Raise Refused or TooSoon, beside `password`, unless it is the person's own."""
    try:
        fault = wrong_own_password(request.user, password, place="signing a report")
    except TooSoon as error:
        error.field = "password"
        raise
    if fault:
        raise Refused(fault, field="password")


def sign(request: StaffApiRequest, said: dict[str, Any]) -> None:
    """Take the person's own password out of what was sent. Raises Refused or TooSoon."""
    require_password(request, said.pop("password", ""))


@extend_schema(
    operation_id="review_decide",
    request=DecisionInput,
    responses={201: DecisionOutput, **REFUSALS_OF_A_PASSWORD},
)
def decide(self: APIView, request: StaffApiRequest, case_id: UUID) -> Response:
    """Send the draft back, or sign it off and lock the case file."""
    entry = checked(DecisionInput, request)
    known = {
        "case_id": case_id,
        "record_id": entry["id"],
        "draft_id": entry["draft_id"],
        "words": entry["words"],
    }
    if entry["outcome"] == "signed":
        require_password(request, entry["password"])
        made = actions.sign_off(request.user, sha256=entry["sha256"], **known)
    elif entry["outcome"] == "returned":
        made = actions.return_report(request.user, causes=entry["causes"], **known)
    else:
        require_password(request, entry["password"])
        made = finishing.finish_without_review(request.user, sha256=entry["sha256"], **known)
    return Response(DecisionOutput(made).data, status=201)


def _add_addendum(
    actor: Staff, *, case_id: UUID, record_id: UUID, entry: dict[str, Any],
    rests_on: UUID | None = None,
) -> Addendum:  # fmt: skip
    """Add what is added or changed; the reason that is printed is the act's reason, too."""
    return actions.add_addendum(
        actor, case_id=case_id, record_id=record_id, entry=entry, rests_on=rests_on,
        reason=entry["why"],
    )  # fmt: skip


routes = [
    at(f"{CASE}/report/", "report",
       get=reads("report_read", key(framed("report")), queries.report_of, ReportOutput,
           "Return the report as it reads now.", absent="The report is not begun."),
       put=changes("report_write", actions.write_report, ReportInput, ReportOutput,
           "Write the report's own words; `version` 0 begins it.")),
    at(f"{CASE}/drafts/", "drafts",
       get=lists("drafts_list", key(framed("review")), queries.drafts_of, DraftOutput,
           "Return all drafts, newest first."),
       post=adds("draft_submit", actions.submit_report, SubmitInput, DraftOutput,
           "Send the report to review.", signed=sign)),
    at(f"{CASE}/drafts/<int:number>/", "draft",
       get=reads("draft_read", key(framed("review")), queries.draft_numbered, DraftOutput,
           "Return one draft as it was sent.")),
    at(f"{CASE}/drafts/<slug:before>/compared-with/<slug:after>/", "drafts-compared",
       get=lists("drafts_compare", framed("review"), comparing.compared, DifferenceOutput,
           "Return what two drafts say differently, word by word; `now` is the case file now.")),
    at(f"{CASE}/comments/", "comments",
       get=lists("comments_list", key(framed("review")), queries.comments_of, CommentOutput,
           "Return the comments on all drafts with their threads, oldest first."),
       post=adds("comment_add", actions.comment_on_passage, CommentInput, CommentOutput,
           "Comment on a passage, a finding, a mark, a photograph, or the whole draft.")),
    at(f"{CASE}/comments/<uuid:comment_id>/replies/", "replies",
       post=adds("comment_reply", threads.reply_to_comment, ReplyInput, ReplyOutput,
           "Reply to a comment.")),
    at(f"{CASE}/comments/<uuid:comment_id>/resolved/", "resolved",
       put=changes("comment_resolve", threads.resolve_comment, ResolveInput, CommentOutput,
           "Say that a comment is settled.")),
    at(f"{CASE}/comments/<uuid:comment_id>/reopened/", "reopened",
       put=changes("comment_reopen", threads.reopen_comment, ReopenInput, CommentOutput,
           "Say that a comment is not settled after all.")),
    at(f"{CASE}/comments/<uuid:comment_id>/answer/", "answer",
       put=changes("comment_answer", actions.answer_comment, AnswerInput, CommentOutput,
           "Answer a comment.")),
    at(f"{CASE}/decisions/", "decisions", post=decide),
    at(f"{CASE}/addenda/", "addenda",
       get=lists("addenda_list", key(framed("report")), queries.addenda_of, AddendumOutput,
           "Return addenda and amendments in their order."),
       post=adds("addendum_add", _add_addendum, AddendumInput, AddendumOutput,
           "Add to a signed case, or change what it says, with the reason.", signed=sign)),
]  # fmt: skip
