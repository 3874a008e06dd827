"""A computed time of death beside the time when the decedent was last known alive. Pure."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from datetime import datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from findings.computing.labels import key_words
from findings.computing.wording.summaries import iso_words, number
from me_office.statements import COMMON_PRACTICE, statement

_WHERE = "Calculations, report"
WHOLLY_BEFORE = statement(
    "calculations.before-last-alive",
    "{which} lies wholly before the decedent was last known alive ({moment}): the reading, its "
    "assumptions, or that report is not right.",
    where=_WHERE,
    source=COMMON_PRACTICE,
)
PARTLY_BEFORE = statement(
    "calculations.partly-before-last-alive",
    "Part of {which} lies before the decedent was last known alive ({moment}); that part is ruled "
    "out if the report is right.",
    where=_WHERE,
    source=COMMON_PRACTICE,
)


def last_alive_of(case: Any) -> datetime | None:
    """When the decedent was last known alive, the earliest moment that the report gives."""
    report = getattr(case, "report_of_death", None)
    if report is None:
        return None
    at: datetime | None = report.last_alive_at
    return at


def cautions_about_last_alive(
    result: Mapping[str, object],
    measured_at: datetime | None,
    last_alive_at: datetime | None,
    zone: ZoneInfo,
) -> list[str]:
    """Return what to say of computed intervals that begin before the person was last alive.

    Hours are counted back from `measured_at`; without it, or where nobody is known to have seen
    the person alive, nothing can be said.
    """
    if measured_at is None or last_alive_at is None or result.get("reason"):
        return []
    said = []
    for which, low, high in _intervals(result):
        earliest, latest = measured_at - timedelta(hours=high), measured_at - timedelta(hours=low)
        if earliest >= last_alive_at:
            continue
        wholly = latest < last_alive_at
        text = WHOLLY_BEFORE if wholly else PARTLY_BEFORE
        moment = iso_words(last_alive_at.isoformat(), zone)
        said.append(
            text.say(which=which[:1].upper() + which[1:] if wholly else which, moment=moment)
        )
    return said


def _intervals(result: Mapping[str, object]) -> Iterator[tuple[str, float, float]]:
    """Each computed interval with its name, in hours before the measurement."""
    rows = result.get("formulae")
    for row in rows if isinstance(rows, list) else [result]:
        low, high = number(row.get("low_h")), number(row.get("high_h"))
        if low is None or high is None or row.get("report"):
            continue
        named = isinstance(rows, list)
        which = f"the time of death by {key_words(str(row['formula']))}" if named else _ONE
        yield which, low, high


_ONE = "the computed time of death"
