"""Which cases an office has: when each was reported, where it stands, who works on it."""

from __future__ import annotations

import random
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from typing import Any
from uuid import UUID

from django.conf import settings

from cases.models import CaseNumberCounter
from cases.rules.case import CaseState, case_number
from me_office.accounts.models import Staff
from me_office.accounts.roles import Role
from me_office.audit.ids import new_id
from tests.builders import make_staff

CASES_A_YEAR = 2500
# The latest cases are the ones that are worked on, however old the office is.
UNDER_WORK = 400
_R, _D, _O = CaseState.REPORTED, CaseState.DECLINED, CaseState.OPEN
_V, _S, _C = CaseState.IN_REVIEW, CaseState.SIGNED, CaseState.CLOSED
LATEST = (_R, _O, _O, _V, _S, _O, _D, _O, _O, _S, _V, _O, _S, _O, _C, _O, _S, _V, _O, _S)
STAFF = {
    Role.INVESTIGATOR: 12,
    Role.PATHOLOGIST: 6,
    Role.SUPERVISOR: 3,
    Role.RECORDS_CLERK: 3,
    Role.EVIDENCE_TECHNICIAN: 3,
    Role.ADMINISTRATOR: 1,
}


@dataclass
class Team:
    """The people of the office by role."""

    people: dict[Role, list[Staff]] = field(default_factory=dict)

    @classmethod
    def hire(cls) -> Team:
        """Make the staff of the office."""
        team = cls()
        for role, number in STAFF.items():
            team.people[role] = [
                make_staff(role, name=f"{role.value.capitalize()} {n + 1}", credentials="")
                for n in range(number)
            ]
        for person in (person for people in team.people.values() for person in people):
            _ = person.roles  # read once, while there are few statements
        return team

    def one(self, role: Role, number: int) -> Staff:
        """Somebody with a role; the same number is the same person."""
        people = self.people[role]
        return people[number % len(people)]


@dataclass
class PlannedCase:
    """What is decided about a case before its records are written."""

    index: int
    state: CaseState
    reported_at: datetime
    investigator: Staff
    pathologist: Staff | None
    supervisor: Staff
    technician: Staff
    restricted: bool
    number: str | None = None
    year: int | None = None
    running: int | None = None
    key: UUID = field(default_factory=new_id)

    @property
    def is_ours(self) -> bool:
        """Tell whether jurisdiction was accepted."""
        return self.state not in {_R, _D}

    def after(self, **span: float) -> datetime:
        """A moment in the course of the case."""
        return self.reported_at + timedelta(**span)


def planned_cases(
    count: int, team: Team, now: datetime, chance: random.Random
) -> Iterator[PlannedCase]:
    """Plan an office's cases, the oldest first."""
    apart = timedelta(days=365) / CASES_A_YEAR
    running: dict[int, int] = {}
    for index in range(count):
        latest = count - 1 - index
        reported_at = now - timedelta(days=3) - apart * latest - apart * chance.random() / 2
        case = PlannedCase(
            index=index,
            state=_state(latest, chance),
            reported_at=reported_at,
            investigator=team.one(Role.INVESTIGATOR, index),
            pathologist=team.one(Role.PATHOLOGIST, index // 2),
            supervisor=team.one(Role.SUPERVISOR, index // 3),
            technician=team.one(Role.EVIDENCE_TECHNICIAN, index // 5),
            restricted=chance.random() < 0.02,
        )
        if case.is_ours:
            year = reported_at.astimezone(settings.OFFICE_ZONE).year
            running[year] = running.get(year, 0) + 1
            case.number = case_number(settings.OFFICE_CASE_PREFIX, year, running[year])
            case.year, case.running = year, running[year]
        if not case.is_ours or (case.state is _O and index % 20 == 7):
            case.pathologist = None
        yield case
    _note_counters(running)


def _state(latest: int, chance: random.Random) -> CaseState:
    if latest < UNDER_WORK:
        return LATEST[latest % len(LATEST)]
    weights: list[tuple[Any, float]] = [(_S, 87), (_D, 9.5), (_O, 2), (_C, 1), (_V, 0.5)]
    states, parts = zip(*weights, strict=True)
    return CaseState(chance.choices(states, parts)[0])


def _note_counters(running: dict[int, int]) -> None:
    for year, last in running.items():
        CaseNumberCounter.objects.update_or_create(year=year, defaults={"last": last})
