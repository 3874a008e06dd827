"""A page of a list of the office: so many rows, how many there are in all, the key of the next."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any, Generic, TypeVar
from uuid import UUID

from django.db.models import DateTimeField, Q, QuerySet

from me_office.audit.errors import NotKnown

PAGE = 40
# Counting further would take as long as the office is old.
COUNTED = 1000

RowT = TypeVar("RowT")


@dataclass(frozen=True)
class Page(Generic[RowT]):
    """`count` stops at COUNTED; `counted_all` tells whether that is all of them."""

    rows: Sequence[RowT]
    count: int
    counted_all: bool
    next_key: str

    def count_words(self, one: str, many: str) -> str:
        """How many there are: 1 request, 1,000 requests, more than 1,000 requests."""
        if not self.counted_all:
            return f"more than {self.count:,} {many}"
        return f"1 {one}" if self.count == 1 else f"{self.count:,} {many}"


def page_after(
    rows: QuerySet[Any], after: str, *, by: str, reads: Callable[[Any], Any] = lambda rows: rows
) -> Page[Any]:
    """Return the page of rows that follows a key; two statements. Raises NotKnown for a bad key.

    The rows are in the order of the day or moment `by` and of their keys, one way or the other;
    `reads` reads more with those that are shown.
    """
    count = rows.order_by().values("pk")[: COUNTED + 1].count()
    if after:
        field = rows.model._meta.get_field(by)
        at, key = _read_key(after, is_moment=isinstance(field, DateTimeField))
        way = "lt" if rows.query.order_by[0] == f"-{by}" else "gt"
        # The first condition lets the index skip to the place.
        rows = rows.filter(**{f"{by}__{way}e": at}).filter(
            Q(**{f"{by}__{way}": at}) | Q(**{f"id__{way}": key})
        )
    shown = list(reads(rows)[: PAGE + 1])
    last = shown[PAGE - 1] if len(shown) > PAGE else None
    next_key = f"{getattr(last, by).isoformat()}_{last.pk}" if last else ""
    return Page(shown[:PAGE], min(count, COUNTED), count <= COUNTED, next_key)


def _read_key(after: str, *, is_moment: bool) -> tuple[date, UUID]:
    said, _, key = after.partition("_")
    try:
        if not is_moment:
            return date.fromisoformat(said), UUID(key)
        # In an address a plus sign stands for a blank.
        at = datetime.fromisoformat(said.replace(" ", "+"))
        if at.tzinfo is None:
            raise ValueError(said)
        return at, UUID(key)
    except ValueError as error:
        raise NotKnown("This page of the list does not exist. Start at the first page.") from error
