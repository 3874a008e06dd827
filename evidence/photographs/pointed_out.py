"""What the pages of the log point out beside it; the room that finds it registers here."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

from cases.models import Case


@dataclass(frozen=True)
class PointedOut:
    """What is missing in a case's log, by kind as pages say it, and series that are proposed."""

    missing: Sequence[Any]
    groups: Sequence[dict[str, object]]
    proposals: Sequence[Any]


_finders: list[Callable[[Case], PointedOut]] = []


def register(finder: Callable[[Case], PointedOut]) -> None:
    """Let a room above find what is pointed out; called once, when the office starts."""
    _finders[:] = [finder]


def pointed_out(case: Case) -> PointedOut:
    """Return what is pointed out in a case; as many statements as the finder needs."""
    return _finders[0](case)
