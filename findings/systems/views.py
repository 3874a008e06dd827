"""The internal examination by system: one page, one system open, one part at a time."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import URLPattern, path, reverse
from django.views.decorators.http import require_http_methods, require_POST

from cases.access import Act, case_for, decision_on
from cases.course import case_frame
from findings import queries
from findings.questions.negatives import NOT_OPENED
from findings.systems import actions
from findings.systems import queries as system_queries
from findings.systems.catalogue import PARTS, SYSTEMS
from findings.systems.forms import LeaveOutForm, PartForm, UseTemplateForm
from findings.systems.models import SystemPart
from findings.systems.page import dissection_in, parts_shown
from me_office.accounts.requests import StaffRequest
from me_office.audit.errors import NotKnown
from me_office.shell.forms import answer_done, answer_form, submitted


def _page(
    request: StaffRequest, case_id: UUID, system: str, form: Any = None, **more: Any
) -> HttpResponse:
    frame = case_frame(request.user, case_id, current="examination")
    examination = queries.examination_of(frame.case)
    if examination is None:
        return redirect("findings:examination", case_id=case_id)
    decision = decision_on(request.user, Act.EXAMINE, frame.case)
    systems = system_queries.systems_seen(
        system_queries.parts_of(frame.case), frame.decedent.sex, examination.chart_body
    )
    opened = next((one for one in systems if one.system.key == system), None)
    ended = examination.ended_at is not None
    shown = (
        parts_shown(
            opened,
            examination,
            queries.findings_of(frame.case),
            system_queries.weighed_in(frame.case),
            dissection_in(systems),
        )
        if opened
        else []
    )
    use, leave = more.pop("use_form", None), more.pop("leave_form", None)
    if opened and decision.allowed and not form:
        use = use or UseTemplateForm(
            templates=system_queries.templates_for(system), auto_id="use_%s"
        )
        leave = leave or LeaveOutForm(ended=ended, auto_id="leave_%s")
    context = {
        "frame": frame,
        "examination": examination,
        "may_examine": decision.allowed,
        "why_not": decision.why,
        "systems": systems,
        "opened": opened,
        "shown": shown,
        "to_lay": opened and any(
            not one.seen.is_decided and not (one.seen.row and one.seen.row.sentences)
            for one in shown
        ),
        "ended": ended,
        "not_opened": examination.kind in NOT_OPENED,
        "decided": sum(one.decided for one in systems),
        "total": sum(len(one.parts) for one in systems),
        "use_form": use,
        "leave_form": leave,
        **more,
    }  # fmt: skip
    answered = form or next((one for one in (use, leave) if one is not None and one.is_bound), None)
    if answered is None:
        return render(request, "findings/systems.html", context)
    return answer_form(request, "findings/systems.html", context, answered)


@require_http_methods(["GET"])
def systems(request: StaffRequest, case_id: UUID) -> HttpResponse:
    """Show every system with how many of its parts are decided."""
    return _page(request, case_id, "")


@require_http_methods(["GET"])
def system(request: StaffRequest, case_id: UUID, system: str) -> HttpResponse:
    """Show the same with one system open."""
    return _page(request, case_id, _known(system, SYSTEMS))


@require_http_methods(["GET", "POST"])
def part(request: StaffRequest, case_id: UUID, part: str) -> HttpResponse:
    """Decide one part, or keep what is being worked on."""
    of = PARTS[_known(part, PARTS)]
    case = case_for(request.user, Act.EXAMINE, case_id)
    row = system_queries.part_of(case, part) or SystemPart(case=case, part=part)
    form = PartForm(
        request.POST or None,
        instance=row,
        ended=queries.examination_has_ended(case_id),
        weighed=set(system_queries.weighed_in(case)),
    )
    saved = submitted(request, form, actions.decide_part, case_id=case_id, part=part)
    if saved:
        state = saved.decision or "kept, not decided yet"
        return answer_done(request, f"{of.title}: {state}.", _row_of(case_id, part))
    kept = system_queries.part_of(case, part) if form.is_bound else row
    return _page(request, case_id, of.system, form, part=of, kept=kept)


@require_POST
def state_negative(request: StaffRequest, case_id: UUID, part: str) -> HttpResponse:
    """State the negative of one part; each has its own button."""
    version = request.POST.get("version", "")
    saved = actions.state_part_negative(
        request.user,
        case_id=case_id,
        part=_known(part, PARTS),
        version=int(version) if version.isdecimal() and len(version) < 10 else 0,
    )
    return answer_done(request, f"{saved.of.title}: stated.", _row_of(case_id, part))


@require_POST
def use_template(request: StaffRequest, case_id: UUID, system: str) -> HttpResponse:
    """Lay the sentences of a template, to keep or strike each."""
    form = UseTemplateForm(
        request.POST,
        templates=system_queries.templates_for(_known(system, SYSTEMS)),
        auto_id="use_%s",
    )
    if submitted(request, form, actions.use_template, case_id=case_id, system=system):
        words = "The sentences are laid. Keep or strike each."
        return answer_done(request, words, "findings:system", case_id=case_id, system=system)
    return _page(request, case_id, system, use_form=form)


@require_POST
def leave_out(request: StaffRequest, case_id: UUID, system: str) -> HttpResponse:
    """State that the rest of a system was not examined, and why."""
    form = LeaveOutForm(
        request.POST,
        ended=queries.examination_has_ended(case_id),
        auto_id="leave_%s",
    )
    known = {"case_id": case_id, "system": _known(system, SYSTEMS)}
    if submitted(request, form, actions.leave_system_out, **known):
        words = f"{SYSTEMS[system].title}: the rest was not examined."
        return answer_done(request, words, "findings:system", case_id=case_id, system=system)
    return _page(request, case_id, system, leave_form=form)


def _known(key: str, table: Any) -> str:
    if key not in table:
        raise NotKnown("There is no such page.")
    return key


def _row_of(case_id: UUID, part: str) -> str:
    address = reverse("findings:system", args=[case_id, PARTS[part].system])
    return f"{address}#part-{part}"


def routes(case: str) -> list[URLPattern]:
    """Return the addresses of the systems below a case's address."""
    one, of = f"{case}systems/<slug:system>/", f"{case}systems/parts/<slug:part>/"
    return [
        path(f"{case}systems/", systems, name="systems"),
        path(of, part, name="system-part"),
        path(f"{of}negative/", state_negative, name="system-part-negative"),
        path(one, system, name="system"),
        path(f"{one}template/", use_template, name="system-use-template"),
        path(f"{one}left-out/", leave_out, name="system-leave-out"),
    ]
