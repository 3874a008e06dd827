"""States of a report and what may follow what. No database."""

from __future__ import annotations

from enum import StrEnum


class ReportState(StrEnum):
    """Where the report of examination stands."""

    DRAFT = "draft"
    SUBMITTED = "submitted"
    RETURNED = "returned"
    SIGNED = "signed"


ALLOWED_MOVES: dict[ReportState, frozenset[ReportState]] = {
    ReportState.DRAFT: frozenset({ReportState.SUBMITTED}),
    ReportState.SUBMITTED: frozenset({ReportState.RETURNED, ReportState.SIGNED}),
    ReportState.RETURNED: frozenset({ReportState.SUBMITTED}),
    ReportState.SIGNED: frozenset(),
}


class AddendumKind(StrEnum):
    """An addendum adds; an amendment changes what the signed report says."""

    ADDENDUM = "addendum"
    AMENDMENT = "amendment"
