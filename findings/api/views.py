"""Endpoints of the examination, its findings and the organ weights."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from drf_spectacular.utils import extend_schema
from rest_framework import status
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from cases.api.shared import case_seen
from cases.models import Case
from findings import actions, queries
from findings.api import serializers as s
from findings.questions import negatives
from findings.questions import queries as question_queries
from findings.questions.contradicting import findings_against
from me_office.audit.errors import NotKnown
from me_office.shell.api import REFUSALS, checked, version_and_reason


class ExaminationView(APIView):
    """The examination of a case."""

    @extend_schema(
        operation_id="examination_read", responses={200: s.ExaminationSerializer, **REFUSALS}
    )
    def get(self, request: Request, case_id: UUID) -> Response:
        """Read the examination."""
        examination = queries.examination_of(case_seen(request, case_id, "examination"))
        if examination is None:
            raise NotKnown("The examination of this case is not opened.")
        return Response(s.ExaminationSerializer(examination).data)

    @extend_schema(
        operation_id="examination_open",
        request=s.ExaminationOpenSerializer,
        responses={201: s.ExaminationSerializer, **REFUSALS},
    )
    def post(self, request: Request, case_id: UUID) -> Response:
        """Open the examination."""
        body = checked(s.ExaminationOpenSerializer, request)
        examination = actions.open_examination(
            request.user, case_id=case_id, record_id=body.pop("id"), entry=body
        )
        return Response(s.ExaminationSerializer(examination).data, status=status.HTTP_201_CREATED)

    @extend_schema(
        operation_id="examination_record",
        request=s.ExaminationChangeSerializer,
        responses={200: s.ExaminationSerializer, **REFUSALS},
    )
    def patch(self, request: Request, case_id: UUID) -> Response:
        """Record the examination; only the fields sent change."""
        body = checked(s.ExaminationChangeSerializer, request)
        kept = version_and_reason(body)
        examination = actions.record_examination(request.user, case_id=case_id, entry=body, **kept)
        return Response(s.ExaminationSerializer(examination).data)


class NegativesView(APIView):
    """Negative statements, confirmed one by one."""

    @extend_schema(
        operation_id="examination_negatives",
        responses={200: s.StatementSerializer(many=True), **REFUSALS},
    )
    def get(self, request: Request, case_id: UUID) -> Response:
        """Read the statements that are offered, with the findings that may speak against them."""
        case = case_seen(request, case_id, "examination")
        return Response(s.StatementSerializer(_offered(case), many=True).data)

    @extend_schema(
        operation_id="examination_confirm_negative",
        request=s.NegativeSerializer,
        responses={200: s.ExaminationSerializer, **REFUSALS},
    )
    def post(self, request: Request, case_id: UUID) -> Response:
        """Confirm one negative statement; it is added to its section."""
        body = checked(s.NegativeSerializer, request)
        examination = actions.confirm_negative(request.user, case_id=case_id, **body)
        return Response(s.ExaminationSerializer(examination).data)


class QuestionsView(APIView):
    """What in the examination does not go together."""

    @extend_schema(
        operation_id="examination_questions",
        responses={200: s.QuestionSerializer(many=True), **REFUSALS},
    )
    def get(self, request: Request, case_id: UUID) -> Response:
        """Read statements that findings may contradict, and sides that do not hold together."""
        case = case_seen(request, case_id, "examination")
        return Response(s.QuestionSerializer(question_queries.questions_of(case), many=True).data)


def _offered(case: Case) -> list[dict[str, Any]]:
    examination = queries.examination_of(case)
    if examination is None:
        raise NotKnown("The examination of this case is not opened.")
    seen = [question_queries.seen_of(one) for one in queries.findings_of(case)]
    stated = question_queries.stated_keys(examination)
    return [
        {
            "key": one.key,
            "section": one.section,
            "words": one.words,
            "stated": one.key in stated,
            "findings_against": findings_against(one, seen),
            "needed_first": negatives.needed_first(one, examination.deep_dissection),
        }
        for one in negatives.STATEMENTS.values()
        if negatives.is_offered(one, examination.kind, case.decedent.sex, examination.chart_body)
    ]


class FindingsView(APIView):
    """The findings of a case."""

    @extend_schema(
        operation_id="findings_list",
        responses={200: s.FindingSerializer(many=True), **REFUSALS},
    )
    def get(self, request: Request, case_id: UUID) -> Response:
        """Read the standing findings by number."""
        case = case_seen(request, case_id, "findings")
        return Response(s.FindingSerializer(queries.findings_of(case), many=True).data)

    @extend_schema(
        operation_id="findings_record",
        request=s.NewFindingSerializer,
        responses={201: s.FindingSerializer, **REFUSALS},
    )
    def post(self, request: Request, case_id: UUID) -> Response:
        """Record a finding with its marks."""
        body = checked(s.NewFindingSerializer, request)
        finding = actions.record_finding(
            request.user,
            case_id=case_id,
            record_id=body.pop("id"),
            marks=body.pop("marks"),
            entry=body,
        )
        return Response(_printed(finding), status=status.HTTP_201_CREATED)


class FindingView(APIView):
    """One finding."""

    @extend_schema(operation_id="finding_read", responses={200: s.FindingSerializer, **REFUSALS})
    def get(self, request: Request, case_id: UUID, finding_id: UUID) -> Response:
        """Read one finding with what hangs on it."""
        case = case_seen(request, case_id, "finding")
        return Response(s.FindingSerializer(queries.finding_for_page(case, finding_id)).data)

    @extend_schema(
        operation_id="finding_change",
        request=s.FindingChangeSerializer,
        responses={200: s.FindingSerializer, **REFUSALS},
    )
    def patch(self, request: Request, case_id: UUID, finding_id: UUID) -> Response:
        """Change a finding; only the fields sent change."""
        body = checked(s.FindingChangeSerializer, request)
        kept = version_and_reason(body)
        finding = actions.change_finding(
            request.user, case_id=case_id, finding_id=finding_id, entry=body, **kept
        )
        return Response(_printed(finding))


class FindingVoidView(APIView):
    """Voiding a finding."""

    @extend_schema(
        operation_id="finding_void",
        request=s.VoidSerializer,
        responses={200: s.FindingSerializer, **REFUSALS},
    )
    def post(self, request: Request, case_id: UUID, finding_id: UUID) -> Response:
        """Void a finding with its marks; its number stays out of use."""
        body = checked(s.VoidSerializer, request)
        finding = actions.void_finding(request.user, case_id=case_id, finding_id=finding_id, **body)
        return Response(_printed(finding))


def _printed(finding: Any) -> Any:
    return s.FindingSerializer(queries.finding_for_page(finding.case, finding.pk)).data
