"""Outcomes of a decision on an item, and kinds of items. No database, no clock."""

from __future__ import annotations

from enum import StrEnum


class Outcome(StrEnum):
    """What becomes of an item that a demand reaches."""

    RELEASE = "release"
    REDACT = "redact"
    WITHHOLD = "withhold"
    MISSING = "missing"
    NOT_OURS = "not ours"


OUTCOME_WORDS: dict[Outcome, str] = {
    Outcome.RELEASE: "release",
    Outcome.REDACT: "release redacted",
    Outcome.WITHHOLD: "withhold",
    Outcome.MISSING: "does not exist",
    Outcome.NOT_OURS: "not ours",
}


class ItemKind(StrEnum):
    """Kinds of records that may go out."""

    REPORT = "report"
    ADDENDUM = "addendum"
    PHOTOGRAPH = "photograph"
    RESULT = "result"
    CUSTODY = "custody record"
    STATEMENT = "statement"
    HISTORY = "history"
    DOCUMENT = "document"
    LEDGER = "ledger proof"
    RECORDING = "recording"
    OTHER = "other"
