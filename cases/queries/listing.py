"""The list of cases: chosen by state, person and year, paged by key, exported as a stream."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.conf import settings
from django.db.models import Q

from cases.access import cases_open_to
from cases.models import CaseNumberCounter
from cases.queries.pages import Page, page_after
from cases.rules.case import CaseState
from me_office.accounts.models import Staff


@dataclass(frozen=True)
class Choice:
    """Which cases a list shows."""

    state: CaseState | None = None
    mine: bool = False
    year: int | None = None


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


def case_page(actor: Staff, choice: Choice, after: str = "") -> Page[Any]:
    """Return the page of the list that follows a key. Raises NotKnown for a key that is none."""
    return page_after(chosen_cases(actor, choice), after, by="reported_at")


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
