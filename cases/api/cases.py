"""API: the list, the search, one case, its report of death, jurisdiction and decedent."""

from __future__ import annotations

from uuid import UUID

from django.urls import path
from django.utils import timezone
from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework.response import Response
from rest_framework.views import APIView

from cases import actions
from cases.api import serializers as shapes
from cases.api.shared import CASE, framed
from cases.queries import file
from cases.queries.listing import case_page, read_choice
from cases.queries.search import found_cases
from cases.rules.search import read_search
from me_office.accounts.requests import StaffApiRequest
from me_office.audit import looks
from me_office.shell.api import REFUSALS, checked
from me_office.shell.endpoints import adds, at, changes, reads


class Cases(APIView):
    """The cases open to the person."""

    @extend_schema(
        operation_id="cases_list",
        parameters=[
            OpenApiParameter("state", str),
            OpenApiParameter("mine", str, description="1 for those assigned to the person"),
            OpenApiParameter("year", str),
            OpenApiParameter("after", str, description="Key of the next page"),
        ],
        responses={200: shapes.CasePageOutput, **REFUSALS},
    )
    def get(self, request: StaffApiRequest) -> Response:
        """Return one page of the list, the latest report first."""
        asked = request.query_params
        choice = read_choice(asked.get("state", ""), asked.get("mine", ""), asked.get("year", ""))
        page = case_page(request.user, choice, asked.get("after", ""))
        chosen = {name: asked.get(name, "") for name in ("state", "mine", "year", "after")}
        looks.note_list(request.user, "list of cases", rows=len(page.rows), asked=chosen)
        shown = {
            "count": page.count,
            "counted_all": page.counted_all,
            "next": page.next_key,
            "cases": page.rows,
        }
        return Response(shapes.CasePageOutput(shown).data)

    @extend_schema(
        operation_id="report_of_death_log",
        request=shapes.LogReportInput,
        responses={201: shapes.CaseOutput, **REFUSALS},
    )
    def post(self, request: StaffApiRequest) -> Response:
        """Log a report of death. The same id again returns the same case."""
        said = checked(shapes.LogReportInput, request)
        entry = {**said.get("decedent", {}), **said["case"], **said["report"]}
        case = actions.log_report_of_death(request.user, record_id=said["id"], entry=entry)
        return Response(shapes.CaseOutput(case).data, status=201)


class CaseSearch(APIView):
    """The search box."""

    @extend_schema(
        operation_id="cases_search",
        parameters=[OpenApiParameter("q", str)],
        responses={200: shapes.FoundOutput, **REFUSALS},
    )
    def get(self, request: StaffApiRequest) -> Response:
        """Find cases by number, name, date, place or words of the heading."""
        terms = read_search(request.query_params.get("q", ""), timezone.localdate())
        found = found_cases(request.user, terms)
        rows = len(found.matches)
        looks.note_list(request.user, "search for cases", rows=rows, asked={"words": terms.text})
        return Response(shapes.FoundOutput(found).data)


@extend_schema(
    operation_id="report_of_death_correct",
    request=shapes.CorrectReportInput,
    responses={200: shapes.ReportOfDeathOutput, **REFUSALS},
)
def correct_report(self: APIView, request: StaffApiRequest, case_id: UUID) -> Response:
    """Correct the report of death, with the reason; `version` is the report's."""
    said = checked(shapes.CorrectReportInput, request)
    saved = actions.correct_report_of_death(
        request.user,
        case_id=case_id,
        version=said["version"],
        entry={**said.get("case", {}), **said["report"]},
        reason=said["reason"],
    )
    return Response(shapes.ReportOfDeathOutput(saved).data)


routes = [
    path("cases/", Cases.as_view(), name="cases"),
    path("search/", CaseSearch.as_view(), name="search"),
    at(f"{CASE}/", "case",
       get=reads("case_read", framed("overview"), lambda case: case, shapes.CaseOutput,
           "Return the case with its decedent.")),
    at(f"{CASE}/report-of-death/", "report",
       get=reads("report_of_death_read", framed("first_call"), file.report_on,
           shapes.ReportOfDeathOutput, "Return the report of death.",
           absent="This case has no report of death."),
       put=correct_report),
    at(f"{CASE}/jurisdiction/accept/", "accept",
       post=adds("jurisdiction_accept", actions.accept_jurisdiction, shapes.JurisdictionInput,
           shapes.JurisdictionOutput,
           "Accept jurisdiction: the case gets its number and is open.")),
    at(f"{CASE}/jurisdiction/decline/", "decline",
       post=adds("jurisdiction_decline", actions.decline_jurisdiction, shapes.JurisdictionInput,
           shapes.JurisdictionOutput, "Decline jurisdiction; it can be accepted later.")),
    at(f"{CASE}/decedent/", "decedent",
       get=reads("decedent_read", framed("body"), lambda case: case.decedent,
           shapes.DecedentOutput, "Return what is known of the decedent."),
       put=changes("decedent_describe", actions.describe_decedent, shapes.DecedentInput,
           shapes.DecedentOutput, "Change what is known of the decedent.")),
]  # fmt: skip
