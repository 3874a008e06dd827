"""Pages of dates in court."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Any
from uuid import UUID

from django.contrib import messages
from django.http import HttpResponse, StreamingHttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.http import urlencode
from django.views.decorators.http import require_GET, require_http_methods

from cases.access import Act, may
from cases.appearances import actions, queries
from cases.appearances.forms import AppearanceForm, CancelForm, MoveForm, SettleForm, TestimonyForm
from cases.appearances.models import Appearance
from cases.appearances.queries import Choice
from cases.appearances.readiness import Lack, lacks_of, read_lacks, with_facts
from cases.appearances.shown import AppearanceShown, clash_words, show
from cases.course import CaseFrame, case_frame
from cases.court.queries import requests_of
from cases.views.confirming import confirms
from cases.views.entries import RecordKind, voiding
from me_office.accounts.models import Staff
from me_office.accounts.requests import StaffRequest
from me_office.accounts.roles import CASE_ROLES
from me_office.audit import looks
from me_office.audit.errors import NotAllowed
from me_office.shell.confirming import Confirmation
from me_office.shell.exports import exported
from me_office.shell.forms import OfficeFormMixin, answer_done, answer_form, submitted
from me_office.shell.templatetags.office import moment, short_moment

PAGE = "appearances:appearances"
KIND = RecordKind(
    Appearance, AppearanceForm, Act.KEEP_APPEARANCE, actions.record_appearance,
    actions.void_appearance, "date in court",
)  # fmt: skip
STATES = [("ahead", "ahead"), ("over", "over"), ("canceled", "canceled"), ("all", "all")]


@require_GET
def appearances(request: StaffRequest, case_id: UUID) -> HttpResponse:
    """Show the case's dates in court: when, who, what is not ready, how it went."""
    frame = case_frame(request.user, case_id, current="court")
    rows = queries.appearances_of(frame.case, facts=with_facts)
    context = {
        "frame": frame,
        "rows": _shown(request.user, rows, read_lacks(request.user, frame.case, rows)),
        "may_answer": may(request.user, Act.ANSWER_AS_WITNESS, frame.case),
        "may_rehearse": may(request.user, Act.REHEARSE, frame.case),
        "may_keep": may(request.user, Act.KEEP_APPEARANCE, frame.case),
        "keeps_all": actions.keeps_all(request.user),
    }
    return render(request, "appearances/appearances.html", context)


def _shown(
    actor: Staff, rows: Sequence[Appearance], more: Mapping[UUID, Sequence[Lack]] | None = None
) -> list[AppearanceShown]:
    found = queries.clashes_of(rows)
    known = queries.known_cases(actor, found)
    now = timezone.now()
    return [
        show(
            row,
            now,
            lacks=[*lacks_of(row), *(more or {}).get(row.pk, ())],
            clashes=clash_words(found.get(row.pk, ()), known),
        )
        for row in rows
    ]


@require_http_methods(["GET", "POST"])
def add(request: StaffRequest, case_id: UUID) -> HttpResponse:
    """Record a date in court."""
    frame = _frame(request, case_id)
    initial = {"witness": frame.case.pathologist_id if _all(request) else request.user.pk}
    initial |= _as_asked(frame, request.GET.get("request", ""))
    form = AppearanceForm(request.POST or None, initial=initial, **_who(request, frame))
    saved = submitted(request, form, actions.record_appearance, case_id=case_id, version=0)
    if saved:
        return _done(request, saved, f"Recorded: {saved}, {short_moment(saved.begins_at)}.")
    return answer_form(request, "appearances/form.html", {"frame": frame, **_check(form)}, form)


def _as_asked(frame: CaseFrame, key: str) -> dict[str, Any]:
    """Begin with what the request says for which the date is recorded."""
    asked = requests_of(frame.case.pk) if key else ()
    found = next((one for one in asked if str(one.pk) == key and not one.is_voided), None)
    if found is None:
        return {}
    return {"request": found.pk, "court": found.court, "cause_number": found.number_words}


def _check(form: AppearanceForm | MoveForm) -> dict[str, str]:
    """Name what is on top of a form that only asks to look again."""
    return {"errors_title": "Check this before it is recorded"} if form.asks_again else {}


@require_http_methods(["GET", "POST"])
def edit(request: StaffRequest, case_id: UUID, record_id: UUID) -> HttpResponse:
    """Correct a date that lies ahead."""
    frame = _frame(request, case_id)
    record = queries.appearance_of(frame.case, record_id)
    form = AppearanceForm(request.POST or None, instance=record, **_who(request, frame))
    saved = submitted(
        request, form, actions.record_appearance, case_id=case_id, record_id=record_id
    )
    if saved:
        return _done(request, saved, f"Saved: {saved}.")
    shown = queries.appearance_of(frame.case, record_id)
    table = Appearance._meta.db_table
    context = {"frame": frame, "record": shown, "table": table, **_check(form)}
    return answer_form(request, "appearances/form.html", context, form)


@require_http_methods(["GET", "POST"])
def move(request: StaffRequest, case_id: UUID, record_id: UUID) -> HttpResponse:
    """Move a date to another time, with the reason."""
    frame = _frame(request, case_id)
    record = queries.appearance_of(frame.case, record_id)
    form = MoveForm(request.POST or None, instance=record, actor=request.user)
    saved = submitted(request, form, actions.move_appearance, case_id=case_id, record_id=record_id)
    if saved:
        return _done(request, saved, f"Moved to {short_moment(saved.begins_at)}.")
    shown = queries.appearance_of(frame.case, record_id)
    context = {"frame": frame, "record": shown, **_check(form)}
    return answer_form(request, "appearances/move.html", context, form)


def _saying(
    form_of: Callable[[Any, Appearance], OfficeFormMixin],
    action: Callable[..., Appearance],
    template: str,
    done: str,
) -> Callable[..., HttpResponse]:
    """Return the page on which something is said of a date; `done` begins what is read after."""

    @require_http_methods(["GET", "POST"])
    def say(request: StaffRequest, case_id: UUID, record_id: UUID) -> HttpResponse:
        frame = _frame(request, case_id)
        record = queries.appearance_of(frame.case, record_id)
        form = form_of(request.POST or None, record)
        saved = submitted(request, form, action, case_id=case_id, record_id=record_id)
        if saved:
            return answer_done(request, f"{done}: {saved}.", PAGE, case_id=case_id)
        return answer_form(request, template, {"frame": frame, "record": record}, form)

    return say


@confirms("court", Act.KEEP_APPEARANCE, queries.appearance_of, actions.cancel_appearance)
def cancel(record: Appearance) -> Confirmation:
    """Cancel a date in court, with the reason."""
    return Confirmation(
        "Cancel a date in court",
        "The date leaves the worklists and stays on this page with your reason. It cannot be "
        "restored; a new one is recorded instead.",
        "Cancel the date",
        back=reverse(PAGE, kwargs={"case_id": record.case_id}),
        done=f"Canceled: {record}.",
        intro=f"{record}, {moment(record.begins_at)}, {record.witness}.",
        form_class=CancelForm,
    )


testimony = _saying(
    lambda sent, record: TestimonyForm(sent, instance=record),
    actions.record_testimony, "appearances/testimony.html", "Recorded how it went",
)  # fmt: skip
settle = _saying(
    lambda sent, record: SettleForm(sent, record=record),
    actions.settle_asked, "appearances/settle.html", "Noted as done",
)  # fmt: skip


@require_http_methods(["GET", "POST"])
def withdraw(request: StaffRequest, case_id: UUID, record_id: UUID) -> HttpResponse:
    """Void a date that was recorded by mistake."""
    frame = _frame(request, case_id)
    record = queries.appearance_of(frame.case, record_id)
    return voiding(request, frame, KIND, record, page=PAGE)


def _frame(request: StaffRequest, case_id: UUID) -> CaseFrame:
    return case_frame(request.user, case_id, current="court", act=Act.KEEP_APPEARANCE)


def _all(request: StaffRequest) -> bool:
    return actions.keeps_all(request.user)


def _who(request: StaffRequest, frame: CaseFrame) -> dict[str, Any]:
    return {"case": frame.case, "actor": request.user, "all_of_them": _all(request)}


def _done(request: StaffRequest, saved: Appearance, words: str) -> HttpResponse:
    """Say what was saved, and what else takes the witness at that time."""
    messages.success(request, words)
    found = queries.clashes_of([saved])
    known = queries.known_cases(request.user, found)
    for clash in clash_words(found.get(saved.pk, ()), known):
        messages.warning(request, f"Overlaps: {clash}")
    return redirect(PAGE, case_id=saved.case_id)


@require_GET
def office_appearances(request: StaffRequest) -> HttpResponse:
    """List the dates in court of the whole office, with what overlaps."""
    choice = _choice(request)
    after = request.GET.get("after", "")
    page = queries.page_of(request.user, choice, after, facts=with_facts)
    asked = {**_asked(choice), "after": after}
    looks.note_list(request.user, "list of dates in court", rows=len(page.rows), asked=asked)
    own = choice.own
    context = {
        "rows": _shown(request.user, page.rows),
        "choice": choice,
        "count_words": page.count_words("date", "dates"),
        "states": [
            {"words": words, "query": _query(Choice(key, own)), "on": key == choice.state}
            for key, words in STATES
        ],
        "whose": [
            {"words": words, "query": _query(Choice(choice.state, mine)), "on": mine is own}
            for words, mine in (("of everyone", False), ("your own", True))
        ],
        "links": {
            "export": f"export.csv?{_query(choice)}",
            "next": f"?{_query(choice, after=page.next_key)}" if page.next_key else "",
            "first": f"?{_query(choice)}" if after else "",
        },
    }
    return render(request, "appearances/office.html", context)


@require_GET
def export(request: StaffRequest) -> StreamingHttpResponse:
    """Send the chosen dates as CSV, row by row."""
    choice = _choice(request)
    rows = queries.rows_to_export(request.user, choice)
    asked = _asked(choice)
    return exported(
        request.user, "list of dates in court", rows, asked=asked, name="dates-in-court"
    )


def _choice(request: StaffRequest) -> Choice:
    if not request.user.roles & CASE_ROLES:
        raise NotAllowed("Your account gives no access to case files.")
    state = request.GET.get("state", "ahead")
    return Choice(state if state in dict(STATES) else "ahead", request.GET.get("own") == "1")


def _asked(choice: Choice) -> dict[str, str]:
    return {"state": choice.state, **({"own": "1"} if choice.own else {})}


def _query(choice: Choice, **other: str) -> str:
    return urlencode({**_asked(choice), **other})
