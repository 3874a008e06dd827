"""All time-since-death intervals of a case on one time line.

Each estimate becomes a window of clock time, counted back from when its measurement was taken.
The window in which the decedent was last known alive and found dead is one more. The windows are
combined only as an intersection, and windows that exclude each other are named; nothing is
averaged or weighted.

Formula:
    earliest = measured at - longest hours, latest = measured at - shortest hours
    combined = from the latest of all 'earliest' to the earliest of all 'latest'
    contradiction = any two windows without a common moment

Range:
    Any number of windows with at least one bound each. Times all with a zone, or all without.

Sources:
    - Henssge C, Madea B. Forensic Sci Int 2004;144:167-175 (several methods together narrow the
      interval; opening page seen). The intersection itself is common practice.

Cautions:
    - The combined interval is only as sound as the narrowest window in it; one wrong window makes
      it wrong. Look at each window and its own cautions first.
    - Intervals of 95 % that are intersected are no longer a 95 % interval.
    - A contradiction means that at least one input or method does not hold; it is shown and never
      resolved by calculation.
    - 'Last known alive' is only as good as the witness or record behind it.
    - It supports the judgment of a licensed pathologist and does not replace it.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from itertools import combinations
from typing import Any

from findings.calculations.fields import BadInput, Field, Inputs, Kind
from findings.calculations.method import ResultField, define
from findings.calculations.result import Interval, Outcome, Plain, refusal

WITNESSED = "last known alive to found dead"


@dataclass(frozen=True)
class Window:
    """The span of clock time that one method leaves open; None is an open end."""

    label: str
    earliest: datetime | None
    latest: datetime | None

    def as_plain(self) -> dict[str, Plain]:
        """The window as plain values."""
        return {
            "label": self.label,
            "earliest": _iso(self.earliest),
            "latest": _iso(self.latest),
        }


def _iso(moment: datetime | None) -> str | None:
    return moment.isoformat(timespec="minutes") if moment else None


def are_apart(one: Window, other: Window) -> bool:
    """Whether two windows have no moment in common."""
    first_ends = one.latest and other.earliest and one.latest < other.earliest
    second_ends = other.latest and one.earliest and other.latest < one.earliest
    return bool(first_ends or second_ends)


def intersection(windows: list[Window]) -> tuple[datetime | None, datetime | None]:
    """The bounds that hold for all windows; earliest may come out after latest."""
    starts = [window.earliest for window in windows if window.earliest]
    ends = [window.latest for window in windows if window.latest]
    return (max(starts) if starts else None, min(ends) if ends else None)


def contradictions(windows: list[Window]) -> list[tuple[str, str]]:
    """Every pair of windows that exclude each other."""
    return [
        (one.label, other.label) for one, other in combinations(windows, 2) if are_apart(one, other)
    ]


def _back(moment: datetime, hours: float, name: str) -> datetime:
    try:
        if moment.tzinfo is None:
            return moment - timedelta(hours=hours)
        # Elapsed hours are counted in UTC and shown in the zone that was given.
        return (moment.astimezone(UTC) - timedelta(hours=hours)).astimezone(moment.tzinfo)
    except OverflowError:
        raise BadInput(name, "leads to a date that does not exist") from None


def _window(number: int, estimate: dict[str, Any]) -> Window:
    name = f"estimates[{number}]"
    low, high = estimate.get("low_h"), estimate.get("high_h")
    if low is not None and high is not None and low > high:
        raise BadInput(f"{name}.low_h", "must not be above high_h")
    if not low and high is None:
        raise BadInput(f"{name}.low_h", "needs a bound: low_h above 0, high_h, or both")
    measured = estimate["measured_at"]
    return Window(
        label=estimate["label"],
        earliest=None if high is None else _back(measured, high, f"{name}.high_h"),
        latest=_back(measured, low or 0.0, f"{name}.low_h"),
    )


def _windows(inputs: Inputs) -> list[Window]:
    windows = [
        _window(number, estimate)
        for number, estimate in enumerate(inputs.values.get("estimates", []))
    ]
    alive, dead = inputs.values.get("last_known_alive"), inputs.values.get("found_dead")
    if alive or dead:
        windows.insert(0, Window(WITNESSED, alive, dead))
    if not windows:
        raise BadInput("estimates", "needs at least one estimate or a witnessed time")
    moments = [m for w in windows for m in (w.earliest, w.latest) if m]
    if len({moment.tzinfo is None for moment in moments}) > 1:
        raise BadInput("estimates", "give all times with a zone, or all without")
    if alive and dead and dead < alive:
        raise BadInput("found_dead", "must not be before last_known_alive")
    return windows


def compute(inputs: Inputs) -> Outcome:
    """The time line, its intersection and every contradiction."""
    windows = _windows(inputs)
    apart: list[Plain] = [[one, other] for one, other in contradictions(windows)]
    time_line: list[Plain] = [window.as_plain() for window in windows]
    fields: dict[str, Plain] = {"time_line": time_line, "contradictions": apart}
    if apart:
        return refusal(
            "windows exclude each other, so there is no time that fits all of them: "
            + "; ".join(f"{one} / {other}" for one, other in contradictions(windows)),
            fields={**fields, "earliest": None, "latest": None},
        )
    start, end = intersection(windows)
    warnings = []
    if start is None or end is None:
        warnings.append("open at one end: not every bound is known")
    elif start == end:
        warnings.append("the windows touch at a single moment only")
    return Outcome(
        fields={**fields, "earliest": _iso(start), "latest": _iso(end)},
        interval=Interval(_iso(start), _iso(end), "common to all windows, not an average"),
        unit="clock time",
        warnings=tuple(warnings),
    )


METHOD = define(
    __doc__,
    name="time_since_death",
    title="Time-since-death summary",
    version="1.0",
    fields=(
        Field("last_known_alive", Kind.MOMENT, "When the decedent was last known alive."),
        Field("found_dead", Kind.MOMENT, "When the decedent was found dead."),
        Field(
            "estimates",
            Kind.OBJECTS,
            "The intervals of single methods.",
            parts=(
                Field("label", Kind.TEXT, "Which method and measurement.", required=True),
                Field("measured_at", Kind.MOMENT, "When the measurement was taken.", required=True),
                Field(
                    "low_h",
                    Kind.NUMBER,
                    "Shortest hours; empty for none.",
                    "h",
                    minimum=0,
                    maximum=100_000,
                ),
                Field(
                    "high_h",
                    Kind.NUMBER,
                    "Longest hours; empty for no upper limit.",
                    "h",
                    minimum=0,
                    maximum=100_000,
                ),
            ),
        ),
    ),
    result_fields=(
        ResultField("earliest", "clock time", "Earliest moment that fits every window."),
        ResultField("latest", "clock time", "Latest moment that fits every window."),
        ResultField("contradictions", "", "Pairs of windows that exclude each other."),
        ResultField("time_line", "", "Each window: label, earliest, latest."),
    ),
    example={
        "last_known_alive": "2026-03-01T22:00",
        "found_dead": "2026-03-02T11:30",
        "estimates": [
            {
                "label": "rectal temperature",
                "measured_at": "2026-03-02T13:00",
                "low_h": 9.46,
                "high_h": 15.06,
            }
        ],
    },
    compute=compute,
)
