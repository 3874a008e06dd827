"""What the photograph log's pages point out: what is missing, by kind, and proposed series."""

from __future__ import annotations

from collections.abc import Sequence

from cases.models import Case
from evidence.gaps.queries import gaps_and_proposals
from evidence.gaps.rules import LogGap, LogGapKind
from evidence.photographs.pointed_out import PointedOut, register

MISSING = {
    LogGapKind.IDENTIFICATION: "No identification photograph",
    LogGapKind.INJURY: "Injuries that no photograph shows:",
    LogGapKind.CLOSE_UP: "Injuries that no close-up shows:",
    LogGapKind.SCALE: "Close-ups without a matching picture with a scale:",
    LogGapKind.SURROUNDINGS: "Close-ups without an overview or mid-range picture of the same "
    "place:",
}


def _missing_groups(gaps: Sequence[LogGap]) -> list[dict[str, object]]:
    grouped = {kind: [one for one in gaps if one.kind is kind] for kind in MISSING}
    return [{"title": MISSING[kind], "rows": rows} for kind, rows in grouped.items() if rows]


def found_in(case: Case) -> PointedOut:
    """Return what is pointed out in a case; three statements."""
    missing, proposals = gaps_and_proposals(case)
    return PointedOut(missing, _missing_groups(missing), proposals)


register(found_in)
