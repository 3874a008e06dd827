"""Pages of series: the same area from further and nearer, with and without a scale."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.views.decorators.http import require_http_methods

from cases.access import Act, decision_on, may
from cases.course import CaseFrame, case_frame
from evidence.items.pages import withdrawing
from evidence.photographs import actions, queries
from evidence.photographs.forms import SeriesForm
from evidence.photographs.pointed_out import pointed_out
from me_office.accounts.requests import StaffRequest
from me_office.shell.forms import answer_form, submitted

PICTURE = "photographs"


@require_http_methods(["GET", "POST"])
def series_list(request: StaffRequest, case_id: UUID) -> HttpResponse:
    """Show the case's series, propose further ones, and make one that a person confirmed."""
    frame = case_frame(request.user, case_id, current=PICTURE)
    form = SeriesForm(request.POST or None)
    made = submitted(request, form, lambda actor: _make(request, frame, form))
    if made:
        messages.success(request, f"Series {made.title} saved.")
        return redirect("evidence:series", case_id=case_id)
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


@require_http_methods(["GET", "POST"])
def take_from_series(request: StaffRequest, case_id: UUID, member_id: UUID) -> HttpResponse:
    """Take a photograph out of a series."""
    frame = case_frame(request.user, case_id, current=PICTURE, act=Act.PHOTOGRAPH)
    member = queries.series_member(frame.case, member_id)
    number = member.photograph.number
    return withdrawing(
        request, frame, member, actions.take_from_series,
        title=f"Photograph {number} and the series {member.series.title}",
        sentence=f"Photograph {number} will no longer be shown with the series "
        f"{member.series.title}. The photograph stays, and the history shows that it was there.",
        act="Remove it from the series",
        back=reverse("evidence:series", kwargs={"case_id": case_id}),
        member_id=member_id,
    )  # fmt: skip


@require_http_methods(["GET", "POST"])
def withdraw_series(request: StaffRequest, case_id: UUID, series_id: UUID) -> HttpResponse:
    """Withdraw a series; its photographs stay."""
    frame = case_frame(request.user, case_id, current=PICTURE, act=Act.PHOTOGRAPH)
    series = queries.one_series(frame.case, series_id).series
    return withdrawing(
        request, frame, series, actions.void_series,
        title=f"Withdraw the series {series.title}",
        sentence=f"The photographs of {series.title} will no longer be shown together. "
        "They stay in the log, and the history keeps the series.",
        act="Withdraw the series",
        back=reverse("evidence:series", kwargs={"case_id": case_id}),
        done=f"Series {series.title} withdrawn.",
        series_id=series_id,
    )  # fmt: skip
