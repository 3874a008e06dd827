"""Pages: how a case stands, what is said of a check, what is set aside, the margin."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from uuid import UUID

from django.http import HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.http import require_GET, require_http_methods

from cases.access import Act, may
from cases.checking import actions, queries
from cases.checking.addresses import check_url, page_of, place_url
from cases.checking.forms import AnswerForm, SetAsideForm
from cases.checking.models import CheckAnswer, CheckSetAside
from cases.checking.rules import Alarm, Answered, Outcome, allowed_answers
from cases.course import case_frame
from cases.models import Case, CaseRecord
from cases.views.confirming import confirms
from cases.views.parts import part_of
from evidence.items.pages import Withdrawal
from me_office.accounts.requests import StaffRequest
from me_office.audit.errors import Refused
from me_office.shell.forms import answer_done, answer_form, submitted

STEP = "report"


@dataclass(frozen=True)
class Row:
    """A check with the page on which it is mended."""

    outcome: Outcome
    page: str


@dataclass(frozen=True)
class Pointed:
    """Two places that do not agree, with their addresses."""

    alarm: Alarm
    places: Sequence[tuple[str, str]]


def rows_of(found: Sequence[Outcome], case_id: UUID) -> list[Row]:
    """Return checks with their pages."""
    return [Row(one, page_of(one.rule, case_id)) for one in found]


def pointed(alarms: Sequence[Alarm], case_id: UUID) -> list[Pointed]:
    """Return alarms with the addresses of their places."""
    return [
        Pointed(one, [(place.label, place_url(place, case_id)) for place in one.places])
        for one in alarms
    ]


@require_GET
def checks(request: StaffRequest, case_id: UUID) -> HttpResponse:
    """Show every check of a case and everything that does not agree."""
    frame = case_frame(request.user, case_id, current=STEP)
    found = queries.checks_of(frame.case)
    context = {
        "frame": frame,
        "checked": found,
        "missing": rows_of(found.open, case_id),
        "left_out": rows_of(found.left_out, case_id),
        "documented": rows_of(found.documented, case_id),
        "not_applicable": rows_of(found.not_applicable, case_id),
        "alarms": pointed(found.alarms, case_id),
        "may_answer": may(request.user, Act.ANSWER_CHECKS, frame.case),
    }
    return render(request, "checking/checks.html", context)


@part_of("checking:checks")
def margin(request: StaffRequest, case: Case) -> HttpResponse:
    """How a case stands, as a part of other pages' thread."""
    found = queries.checks_of(case)
    context = {
        "case": case,
        "checked": found,
        "missing": rows_of(found.open, case.pk),
        "documented": rows_of(found.documented, case.pk),
        "not_applicable": rows_of(found.not_applicable, case.pk),
        "alarms": pointed(found.alarms, case.pk),
    }
    return render(request, "checking/_margin.html", context)


@part_of("checking:checks")
def needed(request: StaffRequest, case: Case) -> HttpResponse:
    """What the office needs before review and what is missing, as a part of the report's page."""
    found = queries.checks_of(case)
    context = {
        "case": case,
        "needed": [(one, check_url(one, case.pk)) for one in found.blocking],
        "missing": len([one for one in found.open if not one.blocks]),
        "alarms": len(found.alarms),
    }
    return render(request, "checking/_needed.html", context)


@part_of("checking:checks")
def answered(request: StaffRequest, case: Case) -> HttpResponse:
    """What was answered and set aside with a reason, as a part of the review's page."""
    context = {
        "case": case,
        "answered": queries.list_of_answers(case),
        # Of what changed since, no reason is given.
        "aside": queries.checks_of(case).set_aside,
    }
    return render(request, "checking/_answered.html", context)


def _checks_page(case_id: UUID) -> str:
    return reverse("checking:checks", kwargs={"case_id": case_id})


@require_http_methods(["GET", "POST"])
def answer(request: StaffRequest, case_id: UUID, key: str) -> HttpResponse:
    """Say of a check that is missing that it was done, does not apply, or is left out."""
    frame = case_frame(request.user, case_id, current=STEP, act=Act.ANSWER_CHECKS)
    outcome = queries.outcome_with_key(frame.case, key)
    allowed = allowed_answers(outcome)
    may_send = not outcome.rule.must or may(request.user, Act.WRITE_REPORT, frame.case)
    offered = [one for one in allowed if may_send or one is Answered.CONFIRMED]
    form = AnswerForm(request.POST or None, allowed=offered or allowed)
    said = submitted(request, form, actions.answer_check, case_id=case_id, key=key)
    if said:
        return answer_done(
            request, f"Answered: {outcome.rule.words}", "checking:checks", case_id=case_id
        )
    context = {"frame": frame, "row": Row(outcome, page_of(outcome.rule, case_id))}
    context["offered"] = bool(offered)
    return answer_form(request, "checking/answer.html", context, form)


@confirms(STEP, Act.ANSWER_CHECKS, queries.one_answer, actions.withdraw_answer)
def withdraw_answer(shown: CheckAnswer) -> Withdrawal:
    """Take back what was said of a check."""
    says = f"{shown.words} The check is asked again, in the list and before review."
    return _taken_back(shown, "Take the answer back", says)


@require_http_methods(["GET", "POST"])
def set_aside(request: StaffRequest, case_id: UUID) -> HttpResponse:
    """Leave two places that do not agree as they are, with the reason."""
    frame = case_frame(request.user, case_id, current=STEP, act=Act.ANSWER_CHECKS)
    key = request.GET.get("key", "")[:80]
    form = SetAsideForm(request.POST or None)
    alarm = queries.alarm_with_key(frame.case, key)
    if alarm is None and request.method == "GET":
        raise Refused("This is no longer pointed out. Reload the checks of the case.")
    done = submitted(request, form, actions.set_check_aside, case_id=case_id, key=key)
    if done:
        return answer_done(
            request, "Set aside with your reason.", "checking:checks", case_id=case_id
        )
    context = {"frame": frame, "pointed": pointed([alarm], case_id)[0] if alarm else None}
    return answer_form(request, "checking/set_aside.html", context, form)


@confirms(STEP, Act.ANSWER_CHECKS, queries.one_set_aside, actions.point_out_check_again)
def point_out_again(shown: CheckSetAside) -> Withdrawal:
    """Take back that something was set aside."""
    says = f"{shown.words} As long as both places say this, it will be pointed out."
    return _taken_back(shown, "Point it out again", says)


def _taken_back(shown: CaseRecord, words: str, sentence: str) -> Withdrawal:
    return Withdrawal(words, sentence, words, back=_checks_page(shown.case_id))
