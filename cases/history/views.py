"""Pages of the history: the case's, a record's own, and who looked."""

from __future__ import annotations

from uuid import UUID

from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET

from cases.course import case_frame
from cases.history.belonging import belonging_to
from cases.history.queries import record_of_case
from me_office.accounts.requests import StaffRequest
from me_office.accounts.roles import Role
from me_office.audit import looks, queries
from me_office.audit.errors import Refused
from me_office.audit.ids import uuid_in
from me_office.shell.forms import is_part


@require_GET
def case_history(request: StaffRequest, case_id: UUID) -> HttpResponse:
    """Show the case's history, newest act first; htmx asks for the next page of it."""
    frame = case_frame(request.user, case_id, current="history")
    before, by = _number(request.GET.get("before", "")), uuid_in(request.GET.get("by", ""))
    history = queries.case_history(case_id, before=before, by=by)
    template = "cases/_history_acts.html" if is_part(request) else "cases/history.html"
    context = {
        "frame": frame,
        "history": history,
        "people": queries.actors_of(case_id),
        "by": by,
        "may_see_readers": request.user.has_role(Role.SUPERVISOR),
    }
    return render(request, template, context)


@require_GET
def record_history(
    request: StaffRequest, case_id: UUID, table: str, record_id: str
) -> HttpResponse:
    """Tell what happened to one record and what belongs to it: who changed it."""
    record_of_case(request.user, case_id, table, record_id)
    also = belonging_to(table, record_id)
    acts = queries.record_history(table, record_id, also=also, most=12)
    return render(request, "cases/_record_history.html", {"acts": acts, "case_id": case_id})


@require_GET
def case_readers(request: StaffRequest, case_id: UUID) -> HttpResponse:
    """Show supervisors who looked at the case."""
    frame = case_frame(request.user, case_id, current="history")
    if not request.user.has_role(Role.SUPERVISOR):
        raise Refused("Only supervisors can see who looked at a case.")
    readers = queries.case_readers(case_id, before=_number(request.GET.get("before", "")))
    return render(request, "cases/readers.html", {"frame": frame, "readers": readers})


def _number(text: str) -> int | None:
    return queries.key_in(text)


@require_GET
def list_readers(request: StaffRequest) -> HttpResponse:
    """Show supervisors which lists, searches and exports were given out, and to whom."""
    if not request.user.has_role(Role.SUPERVISOR):
        raise Refused("Only supervisors can see who was given lists and exports.")
    readers = queries.list_readers(before=queries.key_in(request.GET.get("before", "")))
    looks.note_list(request.user, "lists and exports given out", rows=len(readers.given))
    return render(request, "cases/list_readers.html", {"readers": readers})
