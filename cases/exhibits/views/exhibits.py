"""Pages of exhibits: choosing photographs, one exhibit, removing it."""

from __future__ import annotations

import uuid
from typing import Any
from uuid import UUID

from django.http import HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils.http import urlencode
from django.views.decorators.http import require_GET, require_http_methods

from cases.access import Act, may
from cases.course import CaseFrame, case_frame
from cases.exhibits import actions, queries
from cases.exhibits.forms import AddForm, ComposeForm, ExhibitForm, FilterForm
from cases.exhibits.models import Exhibit
from cases.exhibits.presenting import drawn_marks
from cases.exhibits.views.sets import PREPARE, STEP
from cases.views.confirming import confirms
from evidence.photographs.queries import LogFilter, findings_to_link, photograph_page
from findings.words.plain import plain_words_for
from me_office.accounts.requests import StaffRequest
from me_office.audit.errors import OfficeError
from me_office.shell.confirming import Confirmation
from me_office.shell.forms import answer_done, answer_form, submitted

# The button by which the chosen photographs become one exhibit.
AS_ONE = "as_one"


def _offered(request: StaffRequest, frame: CaseFrame) -> dict[str, Any]:
    """The photographs of the log that fit the filters in the address."""
    filters = FilterForm(request.GET, findings=findings_to_link(frame.case))
    said = filters.cleaned_data if filters.is_valid() else {}
    after = request.GET.get("after", "")
    wanted = LogFilter(
        place=said.get("place", ""),
        view=said.get("view", ""),
        scale=said.get("scale", ""),
        finding_id=UUID(said["finding"]) if said.get("finding") else None,
        words=said.get("words", ""),
        after=int(after) if after.isdecimal() and len(after) < 9 else 0,
    )
    page = photograph_page(frame.case, wanted)
    kept = {name: value for name, value in said.items() if value}
    return {
        "frame": frame,
        "filters": filters,
        "filtered": bool(kept),
        "page": page,
        "next_url": f"?{urlencode({**kept, 'after': page.next_after})}" if page.next_after else "",
        "first_url": f"?{urlencode(kept)}" if wanted.after else "",
    }


@require_http_methods(["GET", "POST"])
def choose(request: StaffRequest, case_id: UUID, set_id: UUID) -> HttpResponse:
    """Choose photographs of the log for a set."""
    frame = case_frame(request.user, case_id, current=STEP, act=PREPARE)
    shown = queries.set_of(frame.case, set_id)
    context = _offered(request, frame)
    form = AddForm(request.POST or None, photographs=context["page"].photographs)
    if request.method == "POST" and form.is_valid() and _add_each(request, shown.pk, case_id, form):
        count = len(form.cleaned_data["photograph"])
        one = count == 1 or AS_ONE in request.POST
        words = "1 exhibit is" if one else f"{count} exhibits are"
        return answer_done(
            request,
            f"{words} added at the end. Check numbers and captions.",
            "exhibits:set",
            case_id=case_id,
            set_id=set_id,
        )
    already = queries.photographs_in(shown)
    context |= {"exhibit_set": shown, "already": already}
    return answer_form(request, "exhibits/choose.html", context, form)


def _add_each(request: StaffRequest, set_id: UUID, case_id: UUID, form: AddForm) -> bool:
    """Add each photograph under a key that follows from the form's: a retry is the same."""
    each = [[chosen] for chosen in form.cleaned_data["photograph"]]
    if AS_ONE in request.POST:
        each = [form.cleaned_data["photograph"]]
    for first, *further in each:
        try:
            actions.add_exhibit(
                request.user,
                case_id=case_id,
                set_id=set_id,
                record_id=uuid.uuid5(form.record_id, first),
                photograph_id=UUID(first),
                further=[UUID(one) for one in further],
                entry={},
            )
        except OfficeError as error:
            form.add_action_error(error)
            return False
    return True


@require_GET
def choose_to_redact(request: StaffRequest, case_id: UUID) -> HttpResponse:
    """Choose a photograph of the log to redact."""
    frame = case_frame(request.user, case_id, current=STEP, act=PREPARE)
    return render(request, "exhibits/choose.html", _offered(request, frame))


@require_http_methods(["GET", "POST"])
def exhibit(request: StaffRequest, case_id: UUID, set_id: UUID, exhibit_id: UUID) -> HttpResponse:
    """Show one exhibit, and change its number, caption and plain words."""
    frame = case_frame(request.user, case_id, current=STEP)
    shown = queries.exhibit_of(frame.case, set_id, exhibit_id)
    form = ExhibitForm(
        request.POST or None, instance=queries.exhibit_of(frame.case, set_id, exhibit_id)
    )
    saved = submitted(request, form, actions.change_exhibit, case_id=case_id, exhibit_id=exhibit_id)
    if saved:
        page = reverse("exhibits:set", kwargs={"case_id": case_id, "set_id": set_id})
        return answer_done(request, f"{saved} saved.", f"{page}#exhibit-{exhibit_id}")
    context = {"frame": frame, **_one(request, frame, shown)}
    return answer_form(request, "exhibits/exhibit.html", context, form)


@require_http_methods(["GET", "POST"])
def compose(request: StaffRequest, case_id: UUID, set_id: UUID, exhibit_id: UUID) -> HttpResponse:
    """Say which photographs an exhibit holds, in their order."""
    frame = case_frame(request.user, case_id, current=STEP, act=PREPARE)
    shown = queries.exhibit_of(frame.case, set_id, exhibit_id)
    numbers = ", ".join(str(one.number) for one in shown.photographs)
    form = ComposeForm(
        request.POST or None, case=frame.case, record=shown, initial={"photographs": numbers}
    )
    saved = submitted(
        request, form, actions.compose_exhibit, case_id=case_id, exhibit_id=exhibit_id
    )
    if saved:
        return answer_done(
            request,
            f"The photographs of exhibit {saved.number} are saved.",
            "exhibits:exhibit",
            case_id=case_id,
            set_id=set_id,
            exhibit_id=exhibit_id,
        )
    context = {"frame": frame, "exhibit": shown}
    return answer_form(request, "exhibits/compose.html", context, form)


def _one(request: StaffRequest, frame: CaseFrame, shown: Exhibit) -> dict[str, Any]:
    findings = shown.findings
    return {
        "exhibit": shown,
        "findings": findings,
        "offered": plain_words_for(findings),
        "redaction": shown.redaction,
        "marks": drawn_marks(shown, queries.marks_on(shown)),
        "may_keep_marks": may(request.user, Act.KEEP_COURT_MARK, frame.case),
        "may_prepare": may(request.user, PREPARE, frame.case),
        "may_answer": may(request.user, Act.ANSWER_AS_WITNESS, frame.case),
    }


@confirms(STEP, PREPARE, queries.exhibit_of, actions.remove_exhibit)
def remove(shown: Exhibit) -> Confirmation:
    """Take an exhibit out of its set."""
    keys = {"case_id": shown.case_id, "set_id": shown.exhibit_set_id}
    return Confirmation(
        f"Remove exhibit {shown.number}",
        f"Exhibit {shown.number} is no longer in this set. What it shows stays in the photograph "
        "log, and the history shows that it was an exhibit.",
        "Remove the exhibit",
        back=reverse("exhibits:set", kwargs=keys),
        done=f"{shown} is removed from the set.",
        in_step=False,
    )
