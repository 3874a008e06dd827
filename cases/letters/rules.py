"""Kinds and states of letters, how they are sent, when a mail may be tried. No database."""

from __future__ import annotations

import re
from collections.abc import Mapping
from datetime import date, datetime, timedelta
from enum import StrEnum
from typing import Final

from me_office.entries import Entry
from me_office.statements import COMMON_PRACTICE, statement
from me_office.worded import Worded

LONGEST_ADDRESS: Final = 6
# Words between dots, as they stand in an address without quotes.
_LOCAL: Final = re.compile(r"[A-Za-z0-9!#$%&'*+/=?^_`{|}~-]+(\.[A-Za-z0-9!#$%&'*+/=?^_`{|}~-]+)*")
_LABEL: Final = re.compile(r"[A-Za-z0-9]([A-Za-z0-9-]{0,61}[A-Za-z0-9])?")
# A mail whose server was not reached is tried again after this, so often.
AGAIN_AFTER: Final = timedelta(minutes=15)
MOST_TRIES: Final = 4

COUNSEL_FIRST: Final = statement(
    "letters.counsel",
    "What a letter says of a right to refuse, a deadline or an exemption depends on local law and "
    "on the court. Have counsel read it before it is sent, unless counsel approved the wording.",
    where="Letters",
    source=COMMON_PRACTICE,
)
BY_EMAIL: Final = statement(
    "letters.e-mail",
    "E-mail may be read on its way and may reach the wrong person. Ask whether the office’s rules "
    "and local law allow this letter to go by e-mail.",
    where="Letters, sending",
    source=COMMON_PRACTICE,
)
NOT_CALLED_BACK: Final = (
    "The letter stays here with your reason, marked as withdrawn. What was sent is not called "
    "back by this: tell the recipient, or write a letter that corrects it."
)


class LetterKind(Worded):
    """What a letter is for."""

    ACKNOWLEDGMENT = "acknowledgment", "acknowledgment"
    EXTENSION = "extension", "request for more time"
    OBJECTION = "objection", "objection"
    FEE = "fee", "fee"
    NO_RECORD = "no record", "no record found"
    PARTIAL = "partial", "partial release"
    APPEARANCE = "appearance", "confirmation of a date in court"
    COVER = "cover", "cover letter of a release"
    OWN = "own", "another letter"


class LetterState(StrEnum):
    """A letter is written, then made; a made one is never changed."""

    DRAFT = "draft"
    MADE = "made"


ALLOWED_MOVES: Final[Mapping[LetterState, frozenset[LetterState]]] = {
    LetterState.DRAFT: frozenset({LetterState.MADE}),
    LetterState.MADE: frozenset(),
}


class Way(Worded):
    """How a letter goes out."""

    HAND = "hand", "in person"
    MAIL = "mail", "by mail"
    REGISTERED = "registered", "by registered mail"
    FAX = "fax", "by fax"
    EMAIL = "email", "by e-mail, from here"


class Outcome(StrEnum):
    """How the sending of a mail stands."""

    WAITING = ""
    TRYING = "trying"
    SENT = "sent"
    FAILED = "failed"
    UNKNOWN = "unknown"


def reference_of(case_label: str, number: int) -> str:
    """Return the office's reference of a letter: 2026-0118-L3."""
    return f"{case_label}-L{number}"


def wrong_in_address(text: str) -> dict[str, str]:
    """Say why an address does not fit the window of an envelope."""
    lines = [one for one in text.splitlines() if one.strip()]
    if len(lines) > LONGEST_ADDRESS:
        return {
            "address": f"At most {LONGEST_ADDRESS} lines fit the window of the envelope, with "
            "the name above."
        }
    return {}


def is_mail_address(text: str) -> bool:
    """Tell whether a text is one address that goes into a mail as it is written here.

    What a mail program would read otherwise (comments, quotes, a port) is refused: it would go to
    another address than the one that is kept.
    """
    local, at, domain = text.partition("@")
    if not at or _LOCAL.fullmatch(local) is None:
        return False
    try:
        plain = domain.encode("idna").decode()
    except UnicodeError:
        return False
    labels = plain.split(".")
    return len(labels) > 1 and all(_LABEL.fullmatch(one) for one in labels)


def lacking_in_sending(entry: Entry, _today: date | None = None) -> dict[str, str]:
    """Return, by field, what is lacking or wrong in how a letter was sent, whenever that was."""
    way, sent_at = entry.get("way"), entry.get("sent_at")
    wrong: dict[str, str] = {}
    if way == Way.EMAIL:
        address = str(entry.get("address") or "")
        if not address:
            wrong["address"] = "Enter the e-mail address."
        elif not is_mail_address(address):
            wrong["address"] = "Enter one e-mail address, such as name@example.org."
        if sent_at:
            wrong["sent_at"] = "Leave this empty: the moment is noted when the mail goes out."
        return wrong
    if way == Way.FAX and not entry.get("address"):
        wrong["address"] = "Enter the fax number."
    if not sent_at:
        wrong["sent_at"] = "Say when it was sent or handed over."
    return wrong


def wrong_in_sending(
    entry: Entry, *, now: datetime, made_at: datetime, can_mail: bool = True
) -> dict[str, str]:
    """Return, by field, what cannot be so in what is said of a letter's sending."""
    wrong = lacking_in_sending(entry)
    sent_at = entry.get("sent_at")
    if entry.get("way") == Way.EMAIL:
        if not can_mail:
            wrong["way"] = "This office is set up without a mail server. Choose another way."
    elif sent_at and sent_at > now:
        wrong["sent_at"] = "This cannot be in the future."
    # A form takes moments to the minute; the letter's own moment has seconds.
    elif sent_at and sent_at < made_at.replace(second=0, microsecond=0):
        wrong["sent_at"] = "This is before the letter was made."
    return wrong


def may_try(outcome: str, tries: int, tried_at: datetime | None, now: datetime) -> bool:
    """Tell whether a mail may be tried now.

    Only what certainly did not go out is tried again: a mail is never sent twice by itself.
    """
    if outcome != Outcome.WAITING or tries >= MOST_TRIES:
        return False
    return tried_at is None or abs(now - tried_at) >= AGAIN_AFTER


def is_lost(outcome: str, tried_at: datetime | None, now: datetime) -> bool:
    """Tell whether whoever tried a mail ended without a word of how it went."""
    return outcome == Outcome.TRYING and tried_at is not None and abs(now - tried_at) >= AGAIN_AFTER


def wrong_day(dated_on: date | None, today: date) -> dict[str, str]:
    """Say what is wrong with the date of a letter."""
    if dated_on is not None and abs((dated_on - today).days) > 60:
        return {"dated_on": "This is more than 60 days from today."}
    return {}
