"""API of report, review and addenda."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from cases.course import case_frame
from cases.review import actions, finishing, queries
from cases.review.content import report_content
from cases.review.models import Addendum, Report, ReportDraft, ReviewComment, ReviewDecision
from me_office.accounts.tries import wrong_own_password
from me_office.audit.errors import NotKnown, Refused, TooSoon
from me_office.shell.api import REFUSALS, REFUSALS_OF_A_PASSWORD, checked


class ReportInput(serializers.Serializer[Any]):
    """The report's own words."""

    id = serializers.UUIDField()
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


class SubmitInput(serializers.Serializer[Any]):
    """The author signs with `password` and sends to review; `id` is the draft's key."""

    id = serializers.UUIDField()
    version = serializers.IntegerField(min_value=1)
    note = serializers.CharField(allow_blank=True, required=False, default="")
    password = serializers.CharField(required=False, default="", write_only=True)
    acknowledged = serializers.ListField(
        child=serializers.CharField(),
        required=False,
        default=list,
        max_length=200,
        help_text="Keys of what is not available at signing",
    )


class DraftOutput(serializers.ModelSerializer[ReportDraft]):
    """A frozen draft."""

    class Meta:
        model = ReportDraft
        fields = ["id", "version", "number", "sha256", "submitted_at", "note", "content"]


class CommentInput(serializers.Serializer[Any]):
    """A comment on one passage."""

    id = serializers.UUIDField()
    draft_id = serializers.UUIDField()
    passage = serializers.CharField()
    comment = serializers.CharField()


class AnswerInput(serializers.Serializer[Any]):
    """The author's answer."""

    version = serializers.IntegerField(min_value=1)
    answer = serializers.CharField()


class CommentOutput(serializers.ModelSerializer[ReviewComment]):
    """A comment with its answer."""

    class Meta:
        model = ReviewComment
        fields = ["id", "version", "draft", "passage", "quoted", "comment", "answer"]


class DecisionInput(serializers.Serializer[Any]):
    """Sends a draft back or finishes it. Finishing needs `sha256` and the person's `password`.

    `outside` is a review made in another office (`outside_...` name it); `waived` leaves the review
    out by the office's rule, with `words` as the reason.
    """

    id = serializers.UUIDField()
    draft_id = serializers.UUIDField()
    outcome = serializers.ChoiceField(choices=ReviewDecision.OUTCOMES)
    words = serializers.CharField(allow_blank=True, required=False, default="")
    sha256 = serializers.CharField(required=False, default="")
    outside_name = serializers.CharField(required=False, max_length=160)
    outside_license = serializers.CharField(required=False, max_length=80)
    outside_office = serializers.CharField(required=False, max_length=160)
    outside_on = serializers.DateField(required=False)
    outside_document = serializers.CharField(required=False, max_length=240)
    password = serializers.CharField(required=False, default="", write_only=True)


class DecisionOutput(serializers.ModelSerializer[ReviewDecision]):
    """What was decided on a draft."""

    class Meta:
        model = ReviewDecision
        fields = [
            "id", "version", "draft", "outcome", "words", "decided_at", "sha256", "sentence",
        ]  # fmt: skip


class AddendumInput(serializers.ModelSerializer[Addendum]):
    """What is added to, or changed in, a signed report; `password` is the person's own."""

    id = serializers.UUIDField()
    rests_on = serializers.UUIDField(required=False, allow_null=True)
    password = serializers.CharField(required=False, default="", write_only=True)

    class Meta:
        model = Addendum
        fields = ["id", "kind", "amends", "text", "why", "rests_on", "password"]
        validators: list[Any] = []


class AddendumOutput(serializers.ModelSerializer[Addendum]):
    """An addendum or amendment."""

    class Meta:
        model = Addendum
        fields = ["id", "version", "number", "kind", "amends", "text", "why", "rests_on", "made_at"]


def require_password(request: Request, password: str) -> None:
    """Raise Refused or TooSoon, beside `password`, unless it is the person's own."""
    try:
        fault = wrong_own_password(request.user, password, place="signing a report")
    except TooSoon as error:
        error.field = "password"
        raise
    if fault:
        raise Refused(fault, field="password")


class ReportOfExamination(APIView):
    """The report of one case."""

    @extend_schema(operation_id="report_read", responses={200: ReportOutput, **REFUSALS})
    def get(self, request: Request, case_id: UUID) -> Response:
        """Return the report as it reads now."""
        case_frame(request.user, case_id, current="report")
        report = queries.report_of(case_id)
        if report is None:
            raise NotKnown("The report is not begun.")
        return Response(ReportOutput(report).data)

    @extend_schema(
        operation_id="report_write", request=ReportInput, responses={200: ReportOutput, **REFUSALS}
    )
    def put(self, request: Request, case_id: UUID) -> Response:
        """Write the report's own words; `version` 0 begins it."""
        entry = checked(ReportInput, request)
        saved = actions.write_report(
            request.user,
            case_id=case_id,
            record_id=entry.pop("id"),
            version=entry.pop("version"),
            entry=entry,
        )
        return Response(ReportOutput(saved).data)


class Drafts(APIView):
    """Frozen drafts."""

    @extend_schema(operation_id="drafts_list", responses={200: DraftOutput(many=True), **REFUSALS})
    def get(self, request: Request, case_id: UUID) -> Response:
        """Return all drafts, newest first."""
        case_frame(request.user, case_id, current="review")
        return Response(DraftOutput(queries.drafts_of(case_id), many=True).data)

    @extend_schema(
        operation_id="draft_submit",
        request=SubmitInput,
        responses={201: DraftOutput, **REFUSALS_OF_A_PASSWORD},
    )
    def post(self, request: Request, case_id: UUID) -> Response:
        """Send the report to review."""
        entry = checked(SubmitInput, request)
        require_password(request, entry.pop("password"))
        draft = actions.submit_report(
            request.user, case_id=case_id, record_id=entry.pop("id"), **entry
        )
        return Response(DraftOutput(draft).data, status=201)


class Comments(APIView):
    """Comments on the draft under review."""

    @extend_schema(
        operation_id="comment_add", request=CommentInput, responses={201: CommentOutput, **REFUSALS}
    )
    def post(self, request: Request, case_id: UUID) -> Response:
        """Comment on a passage."""
        entry = checked(CommentInput, request)
        made = actions.comment_on_passage(
            request.user, case_id=case_id, record_id=entry.pop("id"), **entry
        )
        return Response(CommentOutput(made).data, status=201)


class Answers(APIView):
    """The author's answer to a comment."""

    @extend_schema(
        operation_id="comment_answer",
        request=AnswerInput,
        responses={200: CommentOutput, **REFUSALS},
    )
    def put(self, request: Request, case_id: UUID, comment_id: UUID) -> Response:
        """Answer a comment."""
        entry = checked(AnswerInput, request)
        made = actions.answer_comment(request.user, case_id=case_id, comment_id=comment_id, **entry)
        return Response(CommentOutput(made).data)


class Decisions(APIView):
    """The reviewer's decision."""

    @extend_schema(
        operation_id="review_decide",
        request=DecisionInput,
        responses={201: DecisionOutput, **REFUSALS_OF_A_PASSWORD},
    )
    def post(self, request: Request, case_id: UUID) -> Response:
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
            made = actions.return_report(request.user, **known)
        else:
            require_password(request, entry["password"])
            made = self._finish(request, entry, known)
        return Response(DecisionOutput(made).data, status=201)

    @staticmethod
    def _finish(request: Request, entry: dict[str, Any], known: dict[str, Any]) -> ReviewDecision:
        words = known.pop("words")
        known["sha256"] = entry["sha256"]
        if entry["outcome"] == "waived":
            return finishing.finish_without_review(request.user, words=words, **known)
        named = {name: entry.get(name) for name in finishing.OUTSIDE_NAMES}
        return finishing.record_outside_review(
            request.user, entry={**named, "words": words}, **known
        )


class Addenda(APIView):
    """Addenda and amendments."""

    @extend_schema(
        operation_id="addenda_list", responses={200: AddendumOutput(many=True), **REFUSALS}
    )
    def get(self, request: Request, case_id: UUID) -> Response:
        """Return addenda and amendments in their order."""
        case_frame(request.user, case_id, current="report")
        return Response(AddendumOutput(queries.addenda_of(case_id), many=True).data)

    @extend_schema(
        operation_id="addendum_add",
        request=AddendumInput,
        responses={201: AddendumOutput, **REFUSALS_OF_A_PASSWORD},
    )
    def post(self, request: Request, case_id: UUID) -> Response:
        """Add to a signed case, or change what it says, with the reason."""
        entry = checked(AddendumInput, request)
        require_password(request, entry.pop("password", ""))
        made = actions.add_addendum(
            request.user,
            case_id=case_id,
            record_id=entry.pop("id"),
            rests_on=entry.pop("rests_on", None),
            entry=entry,
            reason=entry["why"],
        )
        return Response(AddendumOutput(made).data, status=201)
