"""Pages of holds, release and return, cremation approval and disposition."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from uuid import UUID

from django.http import HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone
from django.utils.text import capfirst, slugify
from django.views.decorators.http import require_GET, require_http_methods

from cases.access import Act, may
from cases.course import CaseFrame, case_frame
from cases.models import Case
from cases.remains import actions, disposing, queries, shown
from cases.remains.effects import HERE, effects_here, why_effects_differ
from cases.remains.forms import (
    CremationForm,
    DecisionForm,
    DispositionForm,
    HoldForm,
    LiftForm,
    ReleaseForm,
    ReturnForm,
)
from cases.remains.models import BodyHold, BodyRelease, BodyReturn, CremationRequest, Disposition
from cases.remains.printing import print_release
from cases.remains.rules import cremation_caution, is_here
from cases.rules.case import CaseState, IdentityState
from cases.views.confirming import confirms
from cases.views.entries import RecordKind, voiding
from me_office.accounts.requests import StaffRequest
from me_office.shell.confirming import Confirmation
from me_office.shell.exports import shown_pdf
from me_office.shell.forms import answer_done, answer_form, submitted
from me_office.shell.templatetags.office import moment

PAGE = "remains:remains"
Answer = Callable[..., HttpResponse]


@dataclass(frozen=True)
class Kind(RecordKind):
    """A kind of record on this page."""

    template: str


HOLD = Kind(
    BodyHold, HoldForm, Act.HOLD_BODY, actions.place_hold, actions.void_hold, "hold",
    "remains/hold.html",
)  # fmt: skip
RELEASE = Kind(
    BodyRelease, ReleaseForm, Act.RELEASE_BODY, actions.release_body, actions.void_release,
    "release", "remains/release.html",
)  # fmt: skip
RETURN = Kind(
    BodyReturn, ReturnForm, Act.RELEASE_BODY, actions.return_body, actions.void_return,
    "return", "remains/return.html",
)  # fmt: skip

CREMATION = Kind(
    CremationRequest, CremationForm, Act.LOG_CREMATION, disposing.log_cremation_request,
    disposing.void_cremation_request, "request", "remains/cremation.html",
)  # fmt: skip
DISPOSITION = Kind(
    Disposition, DispositionForm, Act.RECORD_DISPOSITION, disposing.record_disposition,
    disposing.void_disposition, "disposition", "remains/disposition.html",
)  # fmt: skip


@require_GET
def remains(request: StaffRequest, case_id: UUID) -> HttpResponse:
    """Show what keeps the body, and its stays in the office."""
    frame = case_frame(request.user, case_id, current="body")
    stays = queries.stays_of(frame.case)
    holds = queries.holds_of(frame.case)
    may_move = may(request.user, Act.RELEASE_BODY, frame.case)
    here = is_here(queries.movements_of(stays))
    is_open = [hold for hold in holds if hold.is_open]
    context = {
        "frame": frame,
        "stays": [shown.stay_shown(stay) for stay in reversed(stays)],
        "open_holds": is_open,
        "lifted_holds": [hold for hold in holds if not hold.is_open],
        "here": here,
        "declined": frame.case.state == CaseState.DECLINED,
        "holds_or_stays": bool(holds or stays),
        "standing": shown.standing_words(stays, len(is_open)),
        "may_move": may_move,
        "may_hold": may(request.user, Act.HOLD_BODY, frame.case),
        "may_release": may_move and here and not is_open,
        "may_return": may_move and stays and not here,
        "effects_differ": _effects_differ(frame, stays),
        **_afterward(request, frame, here=here),
    }
    return render(request, "remains/remains.html", context)


def _effects_differ(frame: CaseFrame, stays: list[queries.Stay]) -> str:
    last = stays[-1].release if stays else None
    return why_effects_differ(last.belongings, effects_here(frame.case)) if last else ""


def _afterward(request: StaffRequest, frame: CaseFrame, *, here: bool) -> dict[str, object]:
    cremations = queries.cremations_of(frame.case)
    outcomes = [asked.outcome for asked in cremations]
    done = queries.dispositions_of(frame.case)
    return {
        "cremations": list(reversed(cremations)),
        "dispositions": [
            (one, shown.disposition_facts(one), cremation_caution(one.method, outcomes))
            for one in done
        ],
        "may_ask": may(request.user, Act.LOG_CREMATION, frame.case),
        "may_decide": may(request.user, Act.DECIDE_CREMATION, frame.case),
        "may_dispose": not here and may(request.user, Act.RECORD_DISPOSITION, frame.case),
        "may_correct_disposition": may(request.user, Act.RECORD_DISPOSITION, frame.case),
    }


def _disposition_context(frame: CaseFrame) -> dict[str, object]:
    outcomes = [asked.outcome for asked in queries.cremations_of(frame.case)]
    return {"cremation_caution": cremation_caution("cremation", outcomes)}


def _release_context(frame: CaseFrame) -> dict[str, object]:
    stays = queries.stays_of(frame.case)
    effects = effects_here(frame.case)
    return {
        "effects": HERE.say(items="; ".join(effects)) if effects else "",
        "open_holds": queries.open_holds_of(frame.case),
        "tag": stays[-1].came_in.tag_number if stays else "",
        "not_confirmed": frame.decedent.identity != IdentityState.CONFIRMED,
    }


def _adding(kind: Kind, context: Callable[[CaseFrame], dict[str, object]] | None = None) -> Answer:
    @require_http_methods(["GET", "POST"])
    def add(request: StaffRequest, case_id: UUID) -> HttpResponse:
        frame = case_frame(request.user, case_id, current="body", act=kind.act)
        form = kind.form(request.POST or None)
        saved = submitted(request, form, kind.record, case_id=case_id, version=0)
        if saved:
            return answer_done(request, f"Saved: {saved}.", PAGE, case_id=case_id)
        more = context(frame) if context else {}
        return answer_form(request, kind.template, {"frame": frame, "of": kind, **more}, form)

    return add


def _editing(kind: Kind, context: Callable[[CaseFrame], dict[str, object]] | None = None) -> Answer:
    @require_http_methods(["GET", "POST"])
    def edit(request: StaffRequest, case_id: UUID, record_id: UUID) -> HttpResponse:
        frame = case_frame(request.user, case_id, current="body", act=kind.act)
        record = queries.record_of(kind.model, frame.case, record_id)
        form = kind.form(request.POST or None, instance=record)
        saved = submitted(request, form, kind.record, case_id=case_id, record_id=record_id)
        if saved:
            return answer_done(request, f"Saved: {saved}.", PAGE, case_id=case_id)
        more = context(frame) if context else {}
        table = kind.model._meta.db_table
        there = {"frame": frame, "of": kind, "record": record, "table": table, **more}
        return answer_form(request, kind.template, there, form)

    return edit


def _voiding(kind: Kind) -> Answer:
    @require_http_methods(["GET", "POST"])
    def void(request: StaffRequest, case_id: UUID, record_id: UUID) -> HttpResponse:
        frame = case_frame(request.user, case_id, current="body", act=kind.act)
        record = queries.record_of(kind.model, frame.case, record_id)
        return voiding(request, frame, kind, record, page=PAGE)

    return void


add_hold, edit_hold, void_hold = _adding(HOLD), _editing(HOLD), _voiding(HOLD)
add_release = _adding(RELEASE, _release_context)
edit_release = _editing(RELEASE, _release_context)
void_release = _voiding(RELEASE)
add_cremation, edit_cremation = _adding(CREMATION), _editing(CREMATION)
void_cremation = _voiding(CREMATION)
add_disposition = _adding(DISPOSITION, _disposition_context)
edit_disposition = _editing(DISPOSITION, _disposition_context)
void_disposition = _voiding(DISPOSITION)
add_return, edit_return, void_return = _adding(RETURN), _editing(RETURN), _voiding(RETURN)


def _hold(case: Case, record_id: UUID) -> BodyHold:
    return queries.record_of(BodyHold, case, record_id)


@confirms("body", Act.HOLD_BODY, _hold, actions.lift_hold)
def lift_hold(hold: BodyHold) -> Confirmation:
    """Lift a hold, with the reason."""
    kind, since = capfirst(hold.get_kind_display()), moment(hold.placed_at)
    return Confirmation(
        "Lift a hold",
        "The hold no longer keeps the body here. It stays on the page with your reason.",
        "Lift the hold",
        back=reverse(PAGE, kwargs={"case_id": hold.case_id}),
        done=f"Lifted: {hold}.",
        intro=f"{kind}. Requested by {hold.asked_by}, since {since}.",
        stop=False,
        form_class=LiftForm,
    )


@require_http_methods(["GET", "POST"])
def decide_cremation(request: StaffRequest, case_id: UUID, record_id: UUID) -> HttpResponse:
    """Approve or refuse a cremation."""
    frame = case_frame(request.user, case_id, current="body", act=Act.DECIDE_CREMATION)
    asked = queries.record_of(CremationRequest, frame.case, record_id)
    form = DecisionForm(request.POST or None, asked=asked)
    saved = submitted(
        request, form, disposing.decide_cremation, case_id=case_id, request_id=record_id
    )
    if saved:
        return answer_done(request, f"Saved: cremation {saved.outcome}.", PAGE, case_id=case_id)
    context = {"frame": frame, "asked": asked, "holds": queries.open_holds_of(frame.case)}
    return answer_form(request, "remains/decide.html", context, form)


@require_GET
def release_form(request: StaffRequest, case_id: UUID, record_id: UUID) -> HttpResponse:
    """Answer with the release as PDF, to be signed by hand."""
    frame = case_frame(request.user, case_id, current="release of the body as PDF")
    release = queries.record_of(BodyRelease, frame.case, record_id)
    printed = print_release(frame.case, release, at=timezone.now())
    return shown_pdf(printed.pdf, f"body-release-{slugify(frame.case.label)}")
