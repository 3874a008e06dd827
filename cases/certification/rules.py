"""Manner of death, and what a change of it needs. No database."""

from __future__ import annotations

import re
from datetime import date
from enum import StrEnum

from me_office.entries import Entry

IN_THE_FUTURE = "This date is in the future."
_SOCIAL_SECURITY = re.compile(r"\d{3}-?\d{2}-?\d{4}|unknown|none", re.IGNORECASE)


class Manner(StrEnum):
    """Manner of death as the US Standard Certificate of Death (2003 revision, item 37) has it."""

    NATURAL = "natural"
    ACCIDENT = "accident"
    SUICIDE = "suicide"
    HOMICIDE = "homicide"
    UNDETERMINED = "undetermined"
    PENDING = "pending"


# The words of the form, where they are not those that the office keeps.
FORM_WORDS = {
    Manner.UNDETERMINED: "could not be determined",
    Manner.PENDING: "pending investigation",
}
MANNERS = [(one.value, FORM_WORDS.get(one, one.value)) for one in Manner]
_WORDS = dict(MANNERS)


def manner_words(manner: str | None) -> str:
    """The manner in the words of the certificate; empty where none is stated."""
    return _WORDS.get(manner or "", manner or "")


def lines_of(entry: Entry) -> list[str]:
    """The filled lines of part I, from the immediate cause down."""
    lines = [str(entry.get(f"cause_{letter}", "") or "").strip() for letter in "abcd"]
    return [line for line in lines if line]


def lowest_cause(entry: Entry) -> str:
    """Return the underlying cause: the lowest filled line of part I, or nothing."""
    return next(reversed(lines_of(entry)), "")


def needs_reason(was: str, becomes: str) -> bool:
    """Tell whether a change of manner has to be explained: any change of one that was stated."""
    return was not in {"", Manner.PENDING} and was != becomes


def wrong_in_particulars(entry: Entry, today: date) -> dict[str, str]:
    """Return what cannot be said of the items of others, by field."""
    wrong: dict[str, str] = {}
    number = str(entry.get("social_security") or "").strip()
    if number and not _SOCIAL_SECURITY.fullmatch(number):
        wrong["social_security"] = "Nine digits, as 000-00-0000, or “unknown”, or “none”."
    for name in ("pronouncer_signed_on", "filed_on"):
        if entry.get(name) and entry[name] > today:
            wrong[name] = IN_THE_FUTURE
    return wrong


def wrong_in_follow_up(entry: Entry, today: date) -> dict[str, str]:
    """Return what cannot be said of what a certificate waits for, by field."""
    wrong: dict[str, str] = {}
    if entry.get("came_on") and entry["came_on"] > today:
        wrong["came_on"] = IN_THE_FUTURE
    if entry.get("awaited") == "other" and not str(entry.get("details") or "").strip():
        wrong["details"] = "Say what is awaited."
    return wrong


def wrong_in_statement(entry: Entry, today: date) -> dict[str, str]:
    """Return what cannot be said of a statement to the registrar, by field."""
    if entry.get("certified_on") and entry["certified_on"] > today:
        return {"certified_on": IN_THE_FUTURE}
    return {}


def follow_up_words(on: date | None, today: date) -> str:
    """How a pending case stands with its next follow-up."""
    if on is None:
        return "no follow-up date"
    days = (today - on).days
    if days > 0:
        return f"follow-up passed {days} day{'s' if days > 1 else ''} ago"
    if days == 0:
        return "follow-up today"
    return f"follow-up in {-days} day{'s' if days < -1 else ''}"
