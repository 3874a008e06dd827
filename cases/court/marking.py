"""Under which orders of a court something is disclosed, as what is sent itself says it.

The room that keeps the orders tells them; none of them is no claim that there is no order.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from uuid import UUID

from cases.court.models import RecordsRequest
from cases.models import Case
from me_office.shell.templatetags.office import day

TITLE = "Disclosed under a protective order"
HEADS = ("Order of", "Who may see what is sent", "In force until", "The copies in the end")


@dataclass(frozen=True)
class OrderTold:
    """An order as it is printed: who may see what is sent, until when, and what of the copies."""

    made_on: date
    who_may_see: str
    until: date | None
    copies: str
    back_by: date | None = None

    @property
    def row(self) -> list[str]:
        """Return it under HEADS, in words."""
        copies = f"{self.copies}, by {day(self.back_by)}" if self.back_by else self.copies
        until = day(self.until) if self.until else "no end is noted; see the order"
        return [day(self.made_on), self.who_may_see, until, copies]

    @property
    def words(self) -> str:
        """Return it as one paragraph."""
        made, who, until, copies = self.row
        return (
            f"Order of {made}. May be seen by: {who}. In force until: {until}. "
            f"The copies in the end: {copies}."
        )


Reader = Callable[[RecordsRequest], Sequence[OrderTold]]
_READERS: dict[str, Reader] = {}


def register(key: str, reader: Reader) -> None:
    """Add what a room knows of orders; the same key again replaces it."""
    _READERS[key] = reader


def orders_of(asked: RecordsRequest) -> list[OrderTold]:
    """Return the orders under which a request is answered, by their day."""
    found = [one for read in _READERS.values() for one in read(asked)]
    return sorted(found, key=lambda one: (one.made_on, one.who_may_see))


@dataclass(frozen=True)
class OrderSince:
    """What became of one order, in words, since something was built for its request."""

    request_id: UUID
    words: Callable[[datetime], str]


Told = Callable[[Case], Sequence[OrderSince]]
_TOLD: dict[str, Told] = {}


def register_since(key: str, told: Told) -> None:
    """Add who tells what became of orders since; the same key again replaces it."""
    _TOLD[key] = told


def orders_since(case: Case) -> tuple[OrderSince, ...]:
    """Return what there is to ask of the orders under which a case's requests are answered."""
    return tuple(one for told in _TOLD.values() for one in told(case))


def readme_words(orders: Sequence[OrderTold]) -> str:
    """Return what README.txt says of the orders, or nothing."""
    if not orders:
        return ""
    lines = [f"* {' '.join(one.words.split())}" for one in orders]
    return "\n".join([TITLE, "-" * len(TITLE), *lines, "", ""])
