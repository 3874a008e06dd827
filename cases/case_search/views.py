"""Pages of the search within a case."""

from __future__ import annotations

from uuid import UUID

from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET

from cases.case_search.queries import SEARCH, found_in_case
from cases.case_search.rules import read_asked
from cases.course import case_frame
from me_office.accounts.requests import StaffRequest
from me_office.audit import looks


@require_GET
def search(request: StaffRequest, case_id: UUID) -> HttpResponse:
    """Find what a case holds by words, by numbers, by where on the body it lies."""
    frame = case_frame(request.user, case_id, current="search", noted=False)
    asked = read_asked(request.GET.get("q", ""))
    found = found_in_case(frame.case, asked)
    looks.note_list(
        request.user, SEARCH, case_id=case_id, rows=found.shown, asked={"words": asked.text}
    )
    return render(request, "case_search/search.html", {"frame": frame, "found": found})
