"""States of a case and what may follow what. No database, no clock."""

from __future__ import annotations

from enum import StrEnum

from me_office.worded import Worded


class CaseState(Worded):
    """Where a case stands."""

    REPORTED = "reported", "jurisdiction not decided"
    DECLINED = "declined", "jurisdiction declined"
    OPEN = "open", "open"
    IN_REVIEW = "in review", "in peer review"
    SIGNED = "signed", "signed and locked"
    CLOSED = "closed", "closed without a report"


ALLOWED_MOVES: dict[CaseState, frozenset[CaseState]] = {
    CaseState.REPORTED: frozenset({CaseState.OPEN, CaseState.DECLINED}),
    CaseState.DECLINED: frozenset({CaseState.OPEN}),
    CaseState.OPEN: frozenset({CaseState.IN_REVIEW, CaseState.CLOSED}),
    CaseState.IN_REVIEW: frozenset({CaseState.OPEN, CaseState.SIGNED}),
    CaseState.SIGNED: frozenset(),
    CaseState.CLOSED: frozenset({CaseState.OPEN}),
}


def can_move(now: CaseState, to: CaseState) -> bool:
    """Tell whether a case in state `now` may go to state `to`."""
    return to in ALLOWED_MOVES[now]


class IdentityState(StrEnum):
    """How far identity is established."""

    UNKNOWN = "unknown"
    TENTATIVE = "tentative"
    CONFIRMED = "confirmed"


class Certainty(StrEnum):
    """How sure a clinical time is."""

    EXACT = "exact"
    ABOUT = "about"
    BETWEEN = "between"
    UNKNOWN = "unknown"


def case_number(prefix: str, year: int, running: int) -> str:
    """Return the office number: 2026-0412, or with a prefix ME-2026-0412."""
    number = f"{year}-{running:04d}"
    return f"{prefix}-{number}" if prefix else number
