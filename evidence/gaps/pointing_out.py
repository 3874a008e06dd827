"""What the photograph log's pages point out: what is missing, by kind, and proposed series."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from cases.models import Case
from evidence.gaps.queries import missing_and_proposed
from evidence.gaps.rules import Lacking, LackingKind
from evidence.photographs.pointed_out import PointedOut, register

MISSING = {
    LackingKind.IDENTIFICATION: "No identification photograph",
    LackingKind.INJURY: "Injuries that no photograph shows:",
    LackingKind.CLOSE_UP: "Injuries that no close-up shows:",
    LackingKind.SCALE: "Close-ups without a matching picture with a scale:",
    LackingKind.SURROUNDINGS: "Close-ups without an overview or mid-range picture of the same "
    "place:",
}


def _missing_groups(lacking: Sequence[Lacking]) -> list[dict[str, Any]]:
    grouped = {kind: [one for one in lacking if one.kind is kind] for kind in MISSING}
    return [{"title": MISSING[kind], "rows": rows} for kind, rows in grouped.items() if rows]


def found_in(case: Case) -> PointedOut:
    """Return what is pointed out in a case; three statements."""
    missing, proposals = missing_and_proposed(case)
    return PointedOut(missing, _missing_groups(missing), proposals)


register(found_in)
