"""Pages of series: the same area from further and nearer, with and without a scale."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from django.http import HttpResponse
from django.urls import reverse
from django.views.decorators.http import require_http_methods

from cases.access import Act, decision_on, may
from cases.course import CaseFrame, case_frame
from cases.models import Case
from cases.views.confirming import confirms
from evidence.items.pages import Withdrawal
from evidence.photographs import actions, queries
from evidence.photographs.forms import SeriesForm
from evidence.photographs.models import PhotographSeries, SeriesPhotograph
from evidence.photographs.pointed_out import pointed_out
from me_office.accounts.requests import StaffRequest
from me_office.shell.forms import answer_done, answer_form, submitted

PICTURE = "photographs"


@require_http_methods(["GET", "POST"])
def series_list(request: StaffRequest, case_id: UUID) -> HttpResponse:
    """Show the case's series, propose further ones, and make one that a person confirmed."""
    frame = case_frame(request.user, case_id, current=PICTURE)
    form = SeriesForm(request.POST or None)
    made = submitted(request, form, lambda actor: _make(request, frame, form))
    if made:
        return answer_done(
            request, f"Series {made.title} saved.", "evidence:series", case_id=case_id
        )
    may_change = may(request.user, Act.PHOTOGRAPH, frame.case)
    context = {
        "frame": frame,
        "all_series": queries.series_of(frame.case),
        "proposals": _proposals(request, frame) if may_change else [],
        "may_change": may_change,
        "why_locked": decision_on(request.user, Act.PHOTOGRAPH, frame.case).why,
    }
    return answer_form(request, "evidence/photograph_series.html", context, form)


def _make(request: StaffRequest, frame: CaseFrame, form: SeriesForm) -> Any:
    numbers = form.numbers
    found = queries.photographs_by_number(frame.case, numbers)
    form.require_all(numbers, {each.number for each in found})
    by_number = {each.number: each.pk for each in found}
    entry = {
        "title": form.cleaned_data["title"],
        "photograph_ids": [by_number[number] for number in numbers],
    }
    return actions.make_series(
        request.user, case_id=frame.case.pk, record_id=form.record_id, entry=entry
    )


def _proposals(request: StaffRequest, frame: CaseFrame) -> list[dict[str, object]]:
    proposals = pointed_out(frame.case).proposals
    numbers = {shot.number for each in proposals for shot in each.shots}
    pictures = {each.number: each for each in queries.photographs_by_number(frame.case, numbers)}
    offered = []
    for place, each in enumerate(proposals):
        said = ", ".join(str(shot.number) for shot in each.shots)
        initial = {"title": each.title, "photographs": said}
        form = SeriesForm(initial=initial, auto_id=f"id_proposal_{place}_%s")
        for field in form.fields.values():
            field.help_text = ""
        offered.append(
            {
                "form": form,
                "why": each.why,
                "title": each.title,
                "key": each.key,
                "numbers": said,
                "photographs": [pictures[shot.number] for shot in each.shots],
            }
        )
    return offered


@confirms(PICTURE, Act.PHOTOGRAPH, queries.series_member, actions.take_from_series)
def take_from_series(member: SeriesPhotograph) -> Withdrawal:
    """Take a photograph out of a series."""
    number = member.photograph.number
    return Withdrawal(
        f"Photograph {number} and the series {member.series.title}",
        f"Photograph {number} will no longer be shown with the series {member.series.title}. The "
        "photograph stays, and the history shows that it was there.",
        "Remove it from the series",
        back=reverse("evidence:series", kwargs={"case_id": member.case_id}),
    )


def _series(case: Case, series_id: UUID) -> PhotographSeries:
    return queries.one_series(case, series_id).series


@confirms(PICTURE, Act.PHOTOGRAPH, _series, actions.void_series)
def withdraw_series(series: PhotographSeries) -> Withdrawal:
    """Withdraw a series; its photographs stay."""
    return Withdrawal(
        f"Withdraw the series {series.title}",
        f"The photographs of {series.title} will no longer be shown together. They stay in the "
        "log, and the history keeps the series.",
        "Withdraw the series",
        back=reverse("evidence:series", kwargs={"case_id": series.case_id}),
        done=f"Series {series.title} withdrawn.",
    )
