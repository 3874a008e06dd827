"""What is wrong in the office, on the first page of an administrator."""

from __future__ import annotations

from datetime import datetime, timedelta

from django.urls import reverse

from cases.worklists import LIMIT, Section, Waiting, register
from me_office.accounts.models import Staff
from me_office.accounts.roles import Role
from me_office.shell.templatetags.office import short_moment
from me_office.upkeep import conditions, watching
from me_office.upkeep.conditions import State
from me_office.upkeep.models import Standing

# Looked at every minute; what is missed a few times is no silence yet.
SILENT_AFTER = timedelta(minutes=5)
NOT_LOOKED_AT = "It has not been looked at: beat or the worker of quick jobs is away."


def _wrong(actor: Staff, now: datetime) -> list[Waiting]:
    # A version that knows a condition no more leaves its row behind.
    kept = list(Standing.objects.filter(name__in=conditions.names()))
    last = max((one.looked_at for one in kept), default=now)
    if now - last > SILENT_AFTER:
        return [_row(State.NOT_SEEN.value, "State of the office", NOT_LOOKED_AT, last, "attention")]
    # As with the alarms: what lasts a moment is told to nobody.
    lasting = [
        one
        for one in kept
        if one.state != State.RIGHT and one.looks >= watching.LOOKS_BEFORE_AN_ALARM
    ]
    lasting.sort(key=lambda one: (watching.ORDER.index(State(one.state)), one.name))
    return [
        _row(
            one.state, one.name.capitalize(), one.says, one.since,
            "stop" if one.state == State.WRONG else "attention",
        )
        for one in lasting[:LIMIT]
    ]  # fmt: skip


def _row(state: str, title: str, says: str, since: datetime, urgency: str) -> Waiting:
    when = f"since {short_moment(since)}"
    return Waiting(state, title, says, when, reverse("upkeep:state"), urgency)


register(
    Section("upkeep", "Needs attention in the office", frozenset({Role.ADMINISTRATOR}), 85, _wrong)
)
