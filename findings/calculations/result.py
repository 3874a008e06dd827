"""The one result type that every method gives back.

A method computes an `Outcome`: the headline value, its interval, the other result fields, and
either warnings or the reason for a refusal. `Result` adds what the reader must see beside it:
method, version, cautions and sources. Values are plain Python, so a result goes into JSON, a
page or a stored record without translation.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import TypeAlias

Plain: TypeAlias = "bool | int | float | str | list[Plain] | dict[str, Plain] | None"


@dataclass(frozen=True)
class Interval:
    """A range in the unit of the value; an open end is None, `meaning` says what it covers."""

    low: float | str | None
    high: float | str | None
    meaning: str

    def as_plain(self) -> dict[str, Plain]:
        """The interval as plain values."""
        return {"low": self.low, "high": self.high, "meaning": self.meaning}


@dataclass(frozen=True)
class Outcome:
    """What one method found; `reason` is set when it refuses to give an estimate.

    A refusing outcome may still carry fields that are plain arithmetic (such as the quotient of
    a cooling curve). They help to check the refusal and are never an estimate.
    """

    fields: Mapping[str, Plain]
    value: Plain = None
    unit: str = ""
    interval: Interval | None = None
    warnings: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()
    reason: str | None = None


def refusal(
    reason: str, *, fields: Mapping[str, Plain] | None = None, warnings: tuple[str, ...] = ()
) -> Outcome:
    """An outcome without an estimate, and why."""
    return Outcome(fields={"estimate": None, **(fields or {})}, warnings=warnings, reason=reason)


@dataclass(frozen=True)
class Result:
    """An outcome with everything that has to stand beside it."""

    method: str
    title: str
    version: str
    outcome: Outcome
    cautions: tuple[str, ...]
    sources: tuple[str, ...]
    inputs: Mapping[str, Plain] = field(default_factory=dict)

    @property
    def is_refused(self) -> bool:
        """Whether the method declined to give an estimate."""
        return self.outcome.reason is not None

    def as_plain(self) -> dict[str, Plain]:
        """The result as one flat object: the method's own fields first, then the frame."""
        found = self.outcome
        frame: dict[str, Plain] = {
            "method": self.method,
            "version": self.version,
            "value": found.value,
            "unit": found.unit,
            "interval": found.interval.as_plain() if found.interval else None,
            "reason": found.reason,
            "warning": "; ".join(found.warnings) or None,
            "warnings": list(found.warnings),
            "note": "; ".join(found.notes) or None,
            "cautions": list(self.cautions),
            "source": list(self.sources),
        }
        return {**found.fields, **frame}


def is_finite(value: Plain) -> bool:
    """Whether no number inside is NaN or infinite."""
    if isinstance(value, float):
        return math.isfinite(value)
    if isinstance(value, list):
        return all(is_finite(part) for part in value)
    if isinstance(value, dict):
        return all(is_finite(part) for part in value.values())
    return True
