"""The overview of one case."""

from __future__ import annotations

from uuid import UUID

from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET

from cases.access import Act, may
from cases.course import case_frame
from cases.queries import file
from cases.rules.case import CaseState
from cases.views import facts
from me_office.accounts.requests import StaffRequest


@require_GET
def case(request: StaffRequest, case_id: UUID) -> HttpResponse:
    """Show what the case says so far at a glance."""
    frame = case_frame(request.user, case_id, current="overview")
    holds = file.case_file(frame.case)
    notified = [p for p in holds.people if p.part == "next of kin" and p.notified_at]
    context = {
        "frame": frame,
        "file": holds,
        "moments": facts.moments_of(frame.case, holds),
        "changes": file.latest_changes(frame.case),
        "latest_identification": holds.identifications[-1] if holds.identifications else None,
        "kin": [person for person in holds.people if person.part == "next of kin"],
        "notified": notified,
        # Nothing is left to do where the office does not go on with the death.
        "open_steps": []
        if frame.case.state in {CaseState.DECLINED, CaseState.CLOSED}
        else [step for step in frame.steps if step.words.startswith("not ")],
        "body_left": next(
            (one.words for one in frame.steps if one.words.startswith("released ")), ""
        ),
        "team": file.team_members(frame.case) if frame.case.restricted else [],
        "may_decide": may(request.user, Act.DECIDE_JURISDICTION, frame.case),
        "may_assign": may(request.user, Act.ASSIGN, frame.case),
        "may_close": may(request.user, Act.CLOSE_CASE, frame.case),
        "may_restrict": may(request.user, Act.RESTRICT, frame.case),
    }
    return render(request, "cases/case.html", context)
