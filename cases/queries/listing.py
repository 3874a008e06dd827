"""The list of cases: chosen by state, person and year, paged by key, exported as a stream."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from typing import Any
from uuid import UUID

from django.conf import settings
from django.db.models import Q

from cases.access import cases_open_to
from cases.models import CaseNumberCounter
from cases.rules.case import CaseState
from me_office.accounts.models import Staff
from me_office.audit.errors import NotKnown

PAGE = 40
# Counting further would take as long as the office is old; a year or a state says it exactly.
COUNTED = 1000


@dataclass(frozen=True)
class Choice:
    """Which cases a list shows."""

    state: CaseState | None = None
    mine: bool = False
    year: int | None = None


@dataclass(frozen=True)
class CasePage:
    """One page of the list: the rows, how many there are in all, and the key of the next page.

    `count` stops at COUNTED; `counted_all` tells whether that is all of them.
    """

    cases: list[Any]
    count: int
    counted_all: bool
    next_key: str


def read_choice(state: str, mine: str, year: str) -> Choice:
    """Return what the address of a list asks for; what it does not know is left out."""
    known = state in {one.value for one in CaseState}
    is_year = year.isdecimal() and len(year) == 4 and 1900 <= int(year) <= 2200
    return Choice(CaseState(state) if known else None, mine == "1", int(year) if is_year else None)


def chosen_cases(actor: Staff, choice: Choice) -> Any:
    """Return the cases open to a person that a list shows, the latest report first."""
    cases = cases_open_to(actor)
    if choice.state is not None:
        cases = cases.filter(state=choice.state.value)
    if choice.mine:
        cases = cases.filter(Q(investigator=actor) | Q(pathologist=actor))
    if choice.year is not None:
        start = datetime(choice.year, 1, 1, tzinfo=settings.OFFICE_ZONE)
        end = datetime(choice.year + 1, 1, 1, tzinfo=settings.OFFICE_ZONE)
        cases = cases.filter(reported_at__gte=start, reported_at__lt=end)
    return cases.select_related("decedent", "investigator", "pathologist").order_by(
        "-reported_at", "-id"
    )


def case_page(actor: Staff, choice: Choice, after: str = "") -> CasePage:
    """Return the page of the list that follows a key. Raises NotKnown for a key that is none."""
    cases = chosen_cases(actor, choice)
    count = cases.select_related(None)[: COUNTED + 1].count()
    if after:
        moment, key = _read_key(after)
        # The first condition lets the index skip to the place.
        cases = cases.filter(reported_at__lte=moment).filter(
            Q(reported_at__lt=moment) | Q(id__lt=key)
        )
    rows = list(cases[: PAGE + 1])
    next_key = _key_of(rows[PAGE - 1]) if len(rows) > PAGE else ""
    return CasePage(rows[:PAGE], min(count, COUNTED), count <= COUNTED, next_key)


def case_years() -> list[int]:
    """Return the years in which the office gave case numbers, the latest first."""
    return list(
        CaseNumberCounter.objects.filter(last__gt=0)
        .order_by("-year")
        .values_list("year", flat=True)
    )


def case_rows(actor: Staff, choice: Choice) -> Iterator[list[str]]:
    """Return the list as rows of an export, read in batches."""
    yield ["Number", "State", "Reported", "Decedent", "Identity", "Age", "Sex", "Heading",
           "Place of death", "Investigator", "Pathologist", "Restricted"]  # fmt: skip
    for case in chosen_cases(actor, choice).iterator(chunk_size=500):
        yield [
            case.number or "",
            case.state_words,
            case.reported_at.astimezone(settings.OFFICE_ZONE).isoformat(timespec="minutes"),
            case.decedent.full_name,
            case.decedent.identity,
            case.decedent.age_words,
            case.decedent.sex,
            case.heading,
            case.place_of_death,
            str(case.investigator or ""),
            str(case.pathologist or ""),
            "yes" if case.restricted else "no",
        ]


def _key_of(case: Any) -> str:
    return f"{case.reported_at.isoformat()}_{case.pk}"


def _read_key(after: str) -> tuple[datetime, UUID]:
    moment, _, key = after.partition("_")
    try:
        at = datetime.fromisoformat(moment.replace(" ", "+"))
        if at.tzinfo is None:
            raise ValueError(moment)
        return at, UUID(key)
    except ValueError as error:
        raise NotKnown("This page of the list does not exist. Start at the first page.") from error
