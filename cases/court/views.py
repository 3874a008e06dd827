"""Pages of requests and subpoenas."""

from __future__ import annotations

from uuid import UUID

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET

from cases.access import cases_open_to
from cases.court.models import RecordsRequest
from cases.course import case_frame


@require_GET
def requests(request: HttpRequest, case_id: UUID) -> HttpResponse:
    """Show the case's requests and subpoenas."""
    frame = case_frame(request.user, case_id, current="court")
    rows = RecordsRequest.objects.filter(case_id=case_id).order_by("due_on", "id")
    return render(request, "court/requests.html", {"frame": frame, "rows": rows})


@require_GET
def office_requests(request: HttpRequest) -> HttpResponse:
    """Show the open requests of the whole office."""
    rows = RecordsRequest.objects.filter(case__in=cases_open_to(request.user))
    rows = rows.select_related("case").order_by("due_on", "id")[:50]
    return render(request, "court/office_requests.html", {"rows": rows})
