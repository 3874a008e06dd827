"""What other rooms add to a request's page: sections, and what they say of its demands.

A room above registers when its app is ready. A section's `read` gets the person, the request and
its demands, and returns what its template finds as `part`, or None where nothing is to be shown.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any
from uuid import UUID

from django.urls import reverse

from cases.court.models import Demand, RecordsRequest
from me_office.accounts.models import Staff

Read = Callable[[Staff, RecordsRequest, Sequence[Demand]], object | None]


@dataclass(frozen=True)
class Offer:
    """What can be added to a request that has nothing of the kind yet."""

    words: str
    url: str


# What is offered in place of a section that has nothing to show; None where it has something.
# It gets the request, what was read, and whether the person may handle the request now.
Fold = Callable[[RecordsRequest, Any, bool], "Sequence[Offer] | None"]

SIDE, MIDDLE = "side", "middle"
# The order of the right column; the middle begins with the request's facts (10).
# What is needed next comes first; what is over, last.
DUE, KEPT_BACK, ANSWERS, ORIGINAL, COUNSEL, LETTERS = 10, 14, 16, 20, 25, 30
AUTHORITY, FEE, CASES, HAPPENED, CAUTION = 40, 50, 60, 85, 90


@dataclass(frozen=True)
class Section:
    """A part of the page: its place, its template, and what is read for it."""

    key: str
    order: int
    template: str
    read: Read
    column: str = SIDE
    fold: Fold | None = None


@dataclass(frozen=True)
class Part:
    """A section as the page shows it."""

    key: str
    template: str
    part: object
    # Instead of it, where it has nothing to show.
    offers: Sequence[Offer] | None = None


@dataclass(frozen=True)
class DemandsTold:
    """What a room says of demands: a line below each, and words for the head of the page."""

    words: Mapping[UUID, str] = field(default_factory=dict)
    head: str = ""


DemandsRead = Callable[[Staff, RecordsRequest, Sequence[Demand]], DemandsTold]

_SECTIONS: dict[str, Section] = {}
_DEMANDS: dict[str, tuple[int, DemandsRead]] = {}
_DEMAND_PAGES: list[str] = []


def register(*sections: Section) -> None:
    """Add sections; the same key again replaces one."""
    _SECTIONS.update({one.key: one for one in sections})


def tell_demands(key: str, order: int, read: DemandsRead) -> None:
    """Add what a room says of the demands; what comes later in the order follows after a point."""
    _DEMANDS[key] = (order, read)


def show_demands_at(url_name: str) -> None:
    """Name the page of one demand; it takes `case_id`, `request_id` and `demand_id`."""
    _DEMAND_PAGES.append(url_name)


def demand_page() -> str:
    """Return the name of the page that shows one demand, or nothing."""
    return _DEMAND_PAGES[-1] if _DEMAND_PAGES else ""


def offer(asked: RecordsRequest, words: str, url_name: str) -> Offer:
    """Return what can be added to a request, at an address that takes its case and its key."""
    return Offer(words, reverse(url_name, args=[asked.case_id, asked.pk]))


def parts_of(
    actor: Staff,
    asked: RecordsRequest,
    demands: Sequence[Demand],
    column: str,
    *,
    handles: bool = False,
) -> list[Part]:
    """Return the sections of a column, in their order, each with what it offers where it is empty.

    `handles` says whether the person may handle the request as it stands.
    """
    found = []
    for section in sorted(_SECTIONS.values(), key=lambda one: (one.order, one.key)):
        if section.column == column:
            part = section.read(actor, asked, demands)
            if part is not None:
                offers = section.fold(asked, part, handles) if section.fold else None
                found.append(Part(section.key, section.template, part, offers))
    return found


def told_of_demands(
    actor: Staff, asked: RecordsRequest, demands: Sequence[Demand]
) -> tuple[dict[UUID, str], str]:
    """Return what all rooms say below each demand, and in the head of the page."""
    words: dict[UUID, list[str]] = {}
    heads = []
    for _, read in sorted(_DEMANDS.values(), key=lambda one: one[0]):
        told = read(actor, asked, demands)
        for key, said in told.words.items():
            words.setdefault(key, []).append(said)
        if told.head:
            heads.append(told.head)
    return {key: " · ".join(said) for key, said in words.items()}, " · ".join(heads)
