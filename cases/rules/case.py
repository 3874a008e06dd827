"""States of a case and what may follow what. No database, no clock."""

from __future__ import annotations

from enum import StrEnum


class CaseState(StrEnum):
    """Where a case stands."""

    REPORTED = "reported"
    DECLINED = "declined"
    OPEN = "open"
    IN_REVIEW = "in review"
    SIGNED = "signed"
    CLOSED = "closed"


ALLOWED_MOVES: dict[CaseState, frozenset[CaseState]] = {
    CaseState.REPORTED: frozenset({CaseState.OPEN, CaseState.DECLINED}),
    CaseState.DECLINED: frozenset({CaseState.OPEN}),
    CaseState.OPEN: frozenset({CaseState.IN_REVIEW, CaseState.CLOSED}),
    CaseState.IN_REVIEW: frozenset({CaseState.OPEN, CaseState.SIGNED}),
    CaseState.SIGNED: frozenset(),
    CaseState.CLOSED: frozenset({CaseState.OPEN}),
}

STATE_WORDS = {
    CaseState.REPORTED: "jurisdiction not decided",
    CaseState.DECLINED: "jurisdiction declined",
    CaseState.OPEN: "open",
    CaseState.IN_REVIEW: "in peer review",
    CaseState.SIGNED: "signed and locked",
    CaseState.CLOSED: "closed without a report",
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
