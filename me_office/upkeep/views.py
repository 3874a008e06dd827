"""The page on which an administrator sees what is not as it should be, and since when."""

from __future__ import annotations

from django.http import HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_GET

from me_office.accounts.actions import require_administrator
from me_office.accounts.requests import StaffRequest
from me_office.upkeep import health, watching
from me_office.upkeep.conditions import Condition, State
from me_office.upkeep.models import Standing
from me_office.version import VERSION


@require_GET
def state(request: StaffRequest) -> HttpResponse:
    """Show every condition as it stands now, the pressing ones first. Raises NotAllowed."""
    require_administrator(request.user)
    kept = {(one.pk, one.state): one.since for one in Standing.objects.all()}
    found = health.recent()
    rows = [
        (one, kept.get((one.name, one.state.value)), _findings(one, found))
        for one in sorted(watching.worst(found), key=lambda one: watching.ORDER.index(one.state))
    ]
    pressing = [row for row in rows if row[0].state is not State.RIGHT]
    count = "One thing needs" if len(pressing) == 1 else f"{len(pressing)} things need"
    context = {
        "pressing": pressing,
        "attention": f"{count} attention.",
        "right": [row for row in rows if row[0].state is State.RIGHT],
        "now": timezone.now(),
        "version": VERSION,
    }
    return render(request, "upkeep/state.html", context)


def _findings(one: Condition, found: list[Condition]) -> list[Condition]:
    """Return each thing that is the matter with a condition, so that what to do stands with it."""
    same = [other for other in found if other.name == one.name]
    return [other for other in same if other.state is not State.RIGHT] or same
