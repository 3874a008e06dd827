"""How many items the demands of requests reach, and how many of them are undecided.

The same as a request's standing says of each demand, of hundreds of requests in one statement: the
items are counted in the database, by kind, and not read.
"""

from __future__ import annotations

import json
import re
from collections.abc import Collection
from dataclasses import dataclass
from pathlib import Path
from typing import Final
from uuid import UUID

from django.db import connection

from cases.decisions.rules import DemandState, digest_of


@dataclass(frozen=True)
class Tally:
    """Of the demands for records of one request."""

    # How many of the demands reach anything.
    demands: int = 0
    items: int = 0
    # Not decided, or changed since they were.
    undecided: int = 0


NOTHING: Final = Tally()


def tally_of(demands: Collection[DemandState]) -> Tally:
    """Count what was read already."""
    asked = [one for one in demands if one.asks_records and one.reached]
    return Tally(
        len(asked),
        sum(one.reached for one in asked),
        sum(one.undecided + one.changed for one in asked),
    )


_STATEMENT: Final = Path(__file__).with_name("tally.sql").read_text(encoding="utf-8")
KINDS: Final = frozenset(re.findall(r"WHERE reach\.kind = '([^']+)'", _STATEMENT))
"""The kinds that are counted beside what was named by hand."""


def tallies(requests: Collection[UUID], *, closed: Collection[UUID] = ()) -> dict[UUID, Tally]:
    """Count the items of requests that have any; one statement.

    Of the cases that are `closed` to who asks nothing is counted.
    """
    if not requests:
        return {}
    said = {"requests": _array(requests), "closed": _array(closed)}
    with connection.cursor() as cursor:
        cursor.execute(_STATEMENT, said)
        rows = cursor.fetchall()
    return {
        key: Tally(demands, items, undecided + _changed(again))
        for key, demands, items, undecided, again in rows
    }


def _array(keys: Collection[UUID]) -> str:
    return "{" + ",".join(map(str, keys)) + "}"


def _changed(again: str | None) -> int:
    """Count of what was touched since it was decided what is not the same any more."""
    by_demand = json.loads(again) if again else []
    found = [one for touched in by_demand for one in touched or ()]
    return sum(digest_of(*parts) != digest for digest, parts in found)
