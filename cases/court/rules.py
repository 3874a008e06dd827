"""States of a request, when it is due, what may be released. No database, no clock."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from enum import StrEnum
from statistics import median
from uuid import UUID

from findings.calculations.federal_holidays import SATURDAY, holiday_on
from me_office.entries import Entry
from me_office.statements import COMMON_PRACTICE, statement


class RequestState(StrEnum):
    """Where a request for records stands."""

    OPEN = "open"
    ANSWERED = "answered"
    WITHDRAWN = "withdrawn"


ALLOWED_MOVES: dict[RequestState, frozenset[RequestState]] = {
    RequestState.OPEN: frozenset({RequestState.ANSWERED, RequestState.WITHDRAWN}),
    RequestState.ANSWERED: frozenset(),
    RequestState.WITHDRAWN: frozenset(),
}

# A due date this near stands out. Common practice: a week is one round of mail.
NEAR_DAYS = 7
CLOSED_DAY = statement(
    "court.closed-day",
    "{day} is {what}. Ask counsel which day counts: rules differ between courts, and state "
    "holidays are not considered here.",
    where="Court, requests",
    source="5 U.S.C. 6103 for the federal holidays",
)
REQUEST_CAUTION = statement(
    "court.request-caution",
    "What must be released, to whom and by when is governed by local law and the court. Check "
    "with counsel.",
    where="Court, a request",
    source=COMMON_PRACTICE,
)
NAMES_ITS_COURT = frozenset({"subpoena", "court order"})


def can_move(now: RequestState, to: RequestState) -> bool:
    """Tell whether a request in state `now` may go to state `to`."""
    return to in ALLOWED_MOVES[now]


@dataclass(frozen=True)
class Due:
    """When an answer is due, in words; `urgency` is "", "attention" or "stop".

    `closed` asks about a due date on which courts are closed.
    """

    words: str
    urgency: str
    closed: str = ""


def _day(value: date) -> str:
    return f"{value.day} {value:%b}"


def due_words(due_on: date, today: date) -> Due:
    """Say when an open request is due: due tomorrow; due Monday, 30 Nov; overdue since 20 Nov."""
    days = (due_on - today).days
    if days < 0:
        year = f" {due_on.year}" if due_on.year != today.year else ""
        return Due(f"overdue since {_day(due_on)}{year}", "stop")
    if days <= 1:
        return Due("due tomorrow" if days else "due today", "stop")
    if days < NEAR_DAYS:
        return Due(f"due {due_on:%A}, {_day(due_on)}", "attention")
    year = f" {due_on.year}" if due_on.year != today.year else ""
    return Due(f"due {_day(due_on)}{year}", "")


def due_now(due_on: date, stopped_since: date | None, today: date) -> Due:
    """Say the same of an open request whose clock may be stopped: it is neither due nor overdue."""
    if stopped_since is None:
        return due_words(due_on, today)
    year = f" {stopped_since.year}" if stopped_since.year != today.year else ""
    return Due(f"clock stopped since {_day(stopped_since)}{year}", "")


def closed_day_words(due_on: date) -> str:
    """Ask about a due date on which a federal court is closed; empty on any other day."""
    holiday = holiday_on(due_on)
    if holiday is not None:
        return CLOSED_DAY.say(day=f"{_day(due_on)} {due_on.year}", what=holiday.name)
    if due_on.weekday() >= SATURDAY:
        return CLOSED_DAY.say(day=f"{_day(due_on)} {due_on.year}", what=f"a {due_on:%A}")
    return ""


def wrong_in_request(entry: Entry, today: date) -> dict[str, list[str]]:
    """Return, by field, what cannot be so in a request as it was entered."""
    wrong: dict[str, list[str]] = {}
    served_on, due_on = entry.get("served_on"), entry.get("due_on")
    if served_on and served_on > today:
        wrong["served_on"] = ["The date served or received cannot be in the future."]
    if served_on and due_on and due_on < served_on:
        wrong["due_on"] = ["The due date cannot be before the date served or received."]
    if entry.get("kind") in NAMES_ITS_COURT:
        if not entry.get("court"):
            wrong["court"] = ["Name the court, or the body that issued it."]
        if not entry.get("cause_number"):
            wrong["cause_number"] = ["Enter its number, or “none” where the paper has none."]
    return wrong


def wrong_in_demand(entry: Entry, today: date) -> dict[str, list[str]]:
    """Return, by field, what cannot be so in a demand as it was entered."""
    page = entry.get("page")
    return {"page": ["Pages are counted from 1."]} if page is not None and page < 1 else {}


AUTHORITY_LAW = statement(
    "court.authority-law",
    "Who may have what, and what they must show for it, is governed by local law. Check with "
    "counsel.",
    where="Court, a request",
    source=COMMON_PRACTICE,
)
# Which requests the office asks to show a right, until it says otherwise: key, words, needed.
AUTHORITY_ASKED: tuple[tuple[str, str, bool], ...] = (
    ("subpoena", "Subpoena", False),
    ("court order", "Court order", False),
    ("discovery", "Discovery request", False),
    ("preservation", "Preservation letter", False),
    ("records request", "Records request, right not stated", False),
    ("records request:law", "Records request under a public records law", False),
    ("records request:family", "Records request of next of kin", True),
    ("records request:insurer", "Records request of an insurer", True),
    ("records request:agency", "Records request of another agency", False),
)


def authority_key(kind: str, asked_under: str) -> str:
    """Return which line of the office's list a request belongs to."""
    return f"{kind}:{asked_under}" if kind == "records request" and asked_under else kind


def authority_lacks(*, needed: bool, outcome: str) -> str:
    """Say what keeps a request from its answer as to the right of who asks, or nothing."""
    if not needed or outcome == "shown":
        return ""
    if outcome == "not shown":
        return "The right of who asks was checked and not shown."
    return "Whether who asks has a right to it is not checked yet."


def wrong_in_authority(entry: Entry, today: date) -> dict[str, list[str]]:
    """Return, by field, what cannot be so in what was recorded of authority."""
    wrong: dict[str, list[str]] = {}
    outcome, on = entry.get("outcome"), entry.get("checked_on")
    for name, words in (
        ("how", "Say how it was checked."),
        ("checked_on", "Say when it was checked."),
        ("checked_by", "Say who checked it."),
    ):
        if outcome in {"shown", "not shown"} and not entry.get(name):
            wrong[name] = [words]
        if outcome == "open" and entry.get(name):
            wrong[name] = ["Leave this empty until it is checked."]
    if on and on > today and "checked_on" not in wrong:
        wrong["checked_on"] = ["This date is in the future."]
    return wrong


@dataclass(frozen=True)
class PacketFacts:
    """What a release needs to know of the packet; the caller reads it."""

    packet_id: UUID
    case_id: UUID
    request_id: UUID
    number: int
    is_built: bool
    built_at: datetime | None
    sha256: str
    is_released: bool = False


def why_not_released(
    packet: PacketFacts, *, case_id: UUID, request_id: UUID, state: RequestState
) -> str:
    """Return why a packet cannot be released for a request, or nothing when it can."""
    if packet.case_id != case_id or packet.request_id != request_id:
        return "This packet was built for another request."
    if state is RequestState.WITHDRAWN:
        return "The request was withdrawn; nothing is released for it."
    if state is RequestState.ANSWERED:
        return "The request is answered. Log another request to release more."
    if not packet.is_built or not packet.sha256:
        return "The packet is not built yet."
    if packet.is_released:
        return "This packet was already released. Build another one for what is still to be sent."
    return ""


def why_not_left(answers: str, still_due: str) -> str:
    """Return what is wrong with what a release says is left, or nothing."""
    if answers == "part" and not still_due.strip():
        return "A part was released: say what is still to be sent."
    if answers != "part" and still_due.strip():
        return "Say either that this answers everything, or what is still to be sent."
    return ""


def why_not_at(released_at: datetime, *, built_at: datetime | None, now: datetime) -> str:
    """Return why a release cannot have happened at that moment, or nothing when it can."""
    if released_at > now:
        return "The release cannot be in the future."
    # Forms take moments to the minute; the packet's moment has seconds.
    if built_at is not None and released_at < built_at.replace(second=0, microsecond=0):
        return "The release cannot be before the packet was built."
    return ""


def wrong_in_closing(
    answered_on: date | None, *, served_on: date, today: date
) -> dict[str, list[str]]:
    """Return, by field, what cannot be so in how a request was answered without a packet."""
    if answered_on is not None and answered_on > today:
        return {"answered_on": ["This date is in the future."]}
    if answered_on is not None and answered_on < served_on:
        return {"answered_on": ["This is before the request was served or received."]}
    return {}


@dataclass(frozen=True)
class Answered:
    """When a request was served, due and answered."""

    served_on: date
    due_on: date
    answered_on: date


@dataclass(frozen=True)
class Punctuality:
    """How an office answers its requests."""

    answered: int
    in_time: int
    median_days: float | None

    @property
    def share_words(self) -> str:
        """The share answered in time: 11 of 12."""
        return f"{self.in_time} of {self.answered}"


def punctuality(rows: list[Answered]) -> Punctuality:
    """Count what was answered in time; days are counted from service to release."""
    days = [(row.answered_on - row.served_on).days for row in rows]
    in_time = sum(1 for row in rows if row.answered_on <= row.due_on)
    return Punctuality(len(rows), in_time, float(median(days)) if days else None)
