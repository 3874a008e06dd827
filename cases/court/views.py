"""Pages of requests and subpoenas."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any
from uuid import UUID

from django.contrib import messages
from django.http import HttpResponse, StreamingHttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.http import urlencode
from django.utils.text import capfirst
from django.views.decorators.http import require_GET, require_http_methods

from cases.access import Act, decision_on, may
from cases.counting.queries import CHECK_WITH_COUNSEL, NOT_SERVED_BY_IT
from cases.course import case_frame
from cases.court import actions, closing, queries
from cases.court.forms import ClosingForm, LogForm, RequestForm, WithdrawForm
from cases.court.models import RecordsRequest
from cases.court.page import due_of, read_request_page
from cases.court.queries import Choice
from cases.court.rules import Due, RequestState, closed_day_words, due_words
from cases.court.timeline import time_line
from cases.models import Case
from cases.views.confirming import confirms
from me_office.accounts.requests import StaffRequest
from me_office.accounts.roles import CASE_ROLES
from me_office.audit import looks
from me_office.audit.errors import NotAllowed, Refused
from me_office.audit.queries import key_in
from me_office.shell.confirming import Confirmation
from me_office.shell.exports import exported
from me_office.shell.forms import answer_done, answer_form, submitted

STATE_FILTERS = [
    ("open", "open"),
    ("overdue", "overdue"),
    ("answered", "answered"),
    ("withdrawn", "withdrawn"),
    ("all", "all"),
]
KIND_FILTERS = [("", "all kinds"), *((key, f"{words}s") for key, words in RecordsRequest.KINDS)]


def _with_due(rows: Sequence[RecordsRequest]) -> list[tuple[RecordsRequest, Due]]:
    return [(row, due_of(row)) for row in rows]


@require_GET
def requests(request: StaffRequest, case_id: UUID) -> HttpResponse:
    """Show the case's requests and subpoenas with what was released for them."""
    frame = case_frame(request.user, case_id, current="court")
    context = {
        "frame": frame,
        "rows": _with_due(queries.requests_of(case_id)),
        "reaching": _with_due(queries.requests_reaching(request.user, case_id)),
        "may_handle": may(request.user, Act.HANDLE_REQUEST, frame.case),
        "packet_decision": decision_on(request.user, Act.BUILD_PACKET, frame.case),
    }
    return render(request, "court/requests.html", context)


@require_GET
def request_page(request: StaffRequest, case_id: UUID, request_id: UUID) -> HttpResponse:
    """Show one request: its demands, what it says, and what belongs to it."""
    frame = case_frame(request.user, case_id, current="court")
    context = {"frame": frame, "page": read_request_page(request.user, frame, request_id)}
    return render(request, "court/request.html", context)


@require_GET
def timeline(request: StaffRequest, case_id: UUID, request_id: UUID) -> HttpResponse:
    """Show everything that happened to a request, the newest first."""
    frame = case_frame(request.user, case_id, current="court")
    page = read_request_page(request.user, frame, request_id)
    before = key_in(request.GET.get("before", ""))
    line = time_line(request.user, page.asked, before=before)
    return render(request, "court/timeline.html", {"frame": frame, "page": page, "line": line})


@require_http_methods(["GET", "POST"])
def log_request(request: StaffRequest, case_id: UUID) -> HttpResponse:
    """Log a request that came."""
    frame = case_frame(request.user, case_id, current="court", act=Act.HANDLE_REQUEST)
    initial = {"served_on": timezone.localdate()}
    form = LogForm(request.POST or None, initial=initial, actor=request.user, case_id=case_id)
    saved = submitted(request, form, actions.log_request, case_id=case_id)
    if saved:
        due = due_words(saved.due_on, timezone.localdate()).words
        messages.success(request, f"Logged: {saved}, {due}.")
        if closed := closed_day_words(saved.due_on):
            messages.warning(request, closed)
        return redirect("court:request", case_id=case_id, request_id=saved.pk)
    context = {
        "frame": frame,
        "counsel": CHECK_WITH_COUNSEL.text,
        "service": NOT_SERVED_BY_IT.text,
    }
    return answer_form(request, "court/request_form.html", context, form)


@require_http_methods(["GET", "POST"])
def change_request(request: StaffRequest, case_id: UUID, request_id: UUID) -> HttpResponse:
    """Correct an open request."""
    frame = case_frame(request.user, case_id, current="court", act=Act.HANDLE_REQUEST)
    asked = queries.request_of(case_id, request_id)
    if asked.state != RequestState.OPEN:
        raise Refused(f"The request is {asked.state} and can no longer be changed.")
    form = RequestForm(request.POST or None, instance=asked)
    saved = submitted(request, form, actions.change_request, case_id=case_id, request_id=request_id)
    if saved:
        words, page = "The request is changed.", "court:request"
        return answer_done(request, words, page, case_id=case_id, request_id=request_id)
    context = {"frame": frame, "asked": queries.request_of(case_id, request_id)}
    return answer_form(request, "court/request_form.html", context, form)


def _request(case: Case, request_id: UUID) -> RecordsRequest:
    return queries.request_of(case.pk, request_id)


@confirms("court", Act.HANDLE_REQUEST, _request, actions.withdraw_request)
def withdraw_request(asked: RecordsRequest) -> Confirmation:
    """Close a request without an answer, with the reason."""
    cause = f", cause {asked.cause_number}" if asked.cause_number else ""
    kind = capfirst(asked.get_kind_display())
    return Confirmation(
        "Withdraw a request",
        "The request is closed without an answer, leaves the worklists, and stays on the court "
        "page with your reason. It cannot be opened again; a new one is logged instead.",
        "Withdraw the request",
        back=reverse("court:requests", kwargs={"case_id": asked.case_id}),
        done="The request is withdrawn.",
        caution="Whether a subpoena still binds the office is a question of law. Ask counsel if in "
        "doubt.",
        intro=f"{kind}{cause}, from {asked.party}; {asked.due_said}.",
        form_class=WithdrawForm,
    )


@require_http_methods(["GET", "POST"])
def close_request(request: StaffRequest, case_id: UUID, request_id: UUID) -> HttpResponse:
    """Record that a request is answered and no packet goes out for it."""
    frame = case_frame(request.user, case_id, current="court", act=Act.HANDLE_REQUEST)
    asked = queries.request_of(case_id, request_id)
    keys = {"case_id": case_id, "request_id": request_id}
    begins = {"answered_on": timezone.localdate(), "version": asked.version}
    form = ClosingForm(request.POST or None, initial=begins)
    if submitted(request, form, closing.answer_without_packet, **keys):
        return answer_done(request, "The request is answered.", "court:request", **keys)
    context = {"frame": frame, "asked": asked, "why_not": closing.why_not_closed(asked)}
    return answer_form(request, "court/close_request.html", context, form)


@require_GET
def office_requests(request: StaffRequest) -> HttpResponse:
    """List the requests of the whole office, the open ones by their due date."""
    choice, asked_state = _choice(request)
    after = request.GET.get("after", "")
    page = queries.request_page(request.user, choice, timezone.localdate(), after)
    asked = {"state": asked_state, "kind": choice.kind, "words": choice.words, "after": after}
    looks.note_list(request.user, "list of requests", rows=len(page.rows), asked=asked)
    here = _query(asked_state, choice)
    links = {
        "export": f"export.csv?{here}",
        "next": f"?{_query(asked_state, choice, after=page.next_key)}" if page.next_key else "",
        "first": f"?{here}" if after else "",
    }
    context = {
        "rows": _with_due(page.rows),
        "count_words": page.count_words("request", "requests"),
        "state": asked_state,
        "states": _filters(STATE_FILTERS, asked_state, lambda key: _query(key, choice)),
        "kinds": _filters(
            KIND_FILTERS, choice.kind, lambda key: _query(asked_state, replace(choice, kind=key))
        ),
        "choice": choice,
        "links": links,
    }
    return render(request, "court/office_requests.html", context)


@require_GET
def export_requests(request: StaffRequest) -> StreamingHttpResponse:
    """Send the chosen requests as CSV, row by row."""
    choice, asked_state = _choice(request)
    rows = queries.request_rows(request.user, choice, timezone.localdate())
    asked = {"state": asked_state, "kind": choice.kind, "words": choice.words}
    return exported(request.user, "list of requests", rows, asked=asked, name="requests")


def _choice(request: StaffRequest) -> tuple[Choice, str]:
    """Return what the address asks for; without words the open requests are shown."""
    if not request.user.roles & CASE_ROLES:
        raise NotAllowed("Your account gives no access to case files.")
    words = request.GET.get("words", "")
    # Who looks for a name looks among all, unless they say otherwise.
    first = "all" if words.strip() else "open"
    asked = request.GET.get("state", first)
    known = asked if asked in dict(STATE_FILTERS) else first
    return queries.read_choice(known, request.GET.get("kind", ""), words), known


def _query(state: str, choice: queries.Choice, **other: str) -> str:
    chosen = {"state": state, "kind": choice.kind, "words": choice.words, **other}
    return urlencode({name: value for name, value in chosen.items() if value})


def _filters(choices: list[tuple[str, str]], on: str, query: Any) -> list[dict[str, object]]:
    return [{"words": words, "query": query(key), "on": key == on} for key, words in choices]
