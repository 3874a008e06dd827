"""Outcomes, kinds of items, one item, and when an answer is ready. No database, no clock."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from uuid import UUID

from me_office.worded import Worded


class Outcome(Worded):
    """What becomes of an item that a demand reaches."""

    RELEASE = "release", "release"
    REDACT = "redact", "release redacted"
    WITHHOLD = "withhold", "withhold"
    MISSING = "missing", "does not exist"
    NOT_OURS = "not ours", "not ours"
    SENT = "sent", "sent earlier"


# What a person chooses; what was sent earlier follows from a release.
CHOSEN = tuple(one for one in Outcome if one is not Outcome.SENT)
ON_A_GROUND = frozenset({Outcome.REDACT, Outcome.WITHHOLD})
GOES_OUT = frozenset({Outcome.RELEASE, Outcome.REDACT})


class ItemKind(Worded):
    """Kinds of records that may go out."""

    REPORT = "report", "report of examination"
    ADDENDUM = "addendum", "addenda and amendments"
    PHOTOGRAPH = "photograph", "photographs"
    RESULT = "result", "results of laboratories and consultants"
    CUSTODY = "custody record", "custody record"
    STATEMENT = "statement", "earlier statements"
    HISTORY = "history", "history of the case file"
    DOCUMENT = "document", "documents"
    LEDGER = "ledger proof", "proof of the record"
    RECORDING = "recording", "recordings"
    OTHER = "other", "something else"


# What a log says of an item that is kept back: its kind and number, and nothing that it shows.
WITHOUT_DISCLOSING: dict[ItemKind, str] = {
    ItemKind.REPORT: "report of examination",
    ItemKind.ADDENDUM: "addition to the report",
    ItemKind.PHOTOGRAPH: "photograph",
    ItemKind.RESULT: "result of a laboratory or consultant",
    ItemKind.CUSTODY: "custody record",
    ItemKind.STATEMENT: "earlier statement",
    ItemKind.HISTORY: "history of the case file",
    ItemKind.DOCUMENT: "document",
    ItemKind.LEDGER: "proof of the record",
    ItemKind.RECORDING: "recording",
    ItemKind.OTHER: "other item",
}


# What the record does not keep: somebody names it, and says how it goes out.
BY_HAND = frozenset({ItemKind.RECORDING, ItemKind.OTHER})


class Mark(StrEnum):
    """What the record says of an item that matters for its release."""

    NOT_DESCRIBED = "not described"
    COPY_STANDS = "a redacted copy stands"
    COPY_ASKED = "a redacted copy is being made"
    MARKED = "places in it are marked for redaction"
    FACE = "shows the face"
    LIVING = "speaks of a living person"
    PAPERS = "shows papers"
    JUVENILE = "concerns a minor"
    RESTRICTED = "of a restricted case"
    SEALED = "of a sealed case"
    NOT_SIGNED = "not signed"
    OF_OTHERS = "somebody else's words"


@dataclass(frozen=True)
class Redacted:
    """How the redaction of a document stands: its copy, or why there is none to send.

    `marked` is the digest of the places that are marked in it, `words` what the copy hides, `key`
    the copy's own.
    """

    digest: str = ""
    marked: str = ""
    why_not: str = ""
    words: str = ""
    key: str = ""


@dataclass(frozen=True)
class Item:
    """One record that a demand may reach.

    `number` is what a reader is told it by (P 37); `series` what it is grouped by; `told` are the
    words of the record for which a mark stands, by mark.
    """

    kind: ItemKind
    case_id: UUID
    key: str
    label: str
    number: str = ""
    details: str = ""
    digest: str = ""
    place: int = 0
    series: str = ""
    pages: int = 0
    files: int = 0
    size_bytes: int = 0
    marks: frozenset[Mark] = frozenset()
    told: Mapping[Mark, str] | None = None
    copy_digest: str = ""
    copy_key: str = ""
    # The digest of the places that are marked for redaction, and why no copy of it may go out.
    marked: str = ""
    copy_lacks: str = ""
    # How what was named by hand goes out, in words; nothing where nobody said.
    enclosed: str = ""
    enclosed_key: str = ""
    has_file: bool = False

    @property
    def is_by_hand(self) -> bool:
        """Tell whether somebody named it by hand: the record does not keep it."""
        return self.kind in BY_HAND

    @property
    def enclosed_file(self) -> str:
        """The key under which the file can be opened that was attached to it."""
        return self.enclosed_key if self.has_file else ""

    @property
    def name(self) -> tuple[str, str]:
        """Its kind and key: by which decisions know it."""
        return self.kind.value, self.key

    @property
    def called(self) -> str:
        """What it is called in a sentence: P 37, or its label."""
        return self.number or self.label


def digest_of(*parts: object) -> str:
    """Return the digest of what was decided about: 64 hexadecimal digits."""
    text = json.dumps([str(one) for one in parts], ensure_ascii=True)
    return hashlib.sha256(text.encode()).hexdigest()


@dataclass(frozen=True)
class Decided:
    """A decision that stands, as the rules need it."""

    decision_id: UUID
    demand: int
    kind: str
    item: str
    digest: str
    outcome: Outcome
    by: UUID
    ground: int = 0
    held_by: str = ""
    note: str = ""
    number: str = ""
    label: str = ""
    # Of the redacted copy that goes out: another copy is another thing to approve.
    copy_digest: str = ""


def decisions_digest(decided: Iterable[Decided]) -> str:
    """Return the digest of what was decided: whoever approves approves exactly this."""
    rows = sorted(
        [
            one.demand, one.kind, one.item, one.digest, one.outcome.value, one.ground,
            one.held_by, one.note, str(one.decision_id), one.copy_digest,
        ]
        for one in decided
    )  # fmt: skip
    return hashlib.sha256(json.dumps(rows, ensure_ascii=True).encode()).hexdigest()


def wrong_in_decision(
    outcome: str, *, has_ground: bool, held_by: str, note: str = ""
) -> dict[str, str]:
    """Return, by field, what a decision lacks."""
    if outcome not in {one.value for one in CHOSEN}:
        return {"outcome": "Choose what becomes of it."}
    chosen = Outcome(outcome)
    if chosen in ON_A_GROUND and not has_ground:
        return {"ground": "Name the ground on which it is kept back."}
    if chosen not in ON_A_GROUND and has_ground:
        return {"ground": "A ground belongs to what is redacted or withheld."}
    if chosen is Outcome.NOT_OURS and not held_by.strip():
        return {"held_by": "Say who has it."}
    if chosen is not Outcome.NOT_OURS and held_by.strip():
        return {"held_by": "Only for what is not ours."}
    return {}


def why_not_approved(
    *, lacks: Sequence[str], read: str, now: str, approver: UUID, deciders: Collection[UUID]
) -> str:
    """Return why somebody can't approve what was decided, or nothing when they can."""
    if approver in deciders:
        return (
            "You decided a part of it, or what it reaches. A second person approves, who decided "
            "none of it."
        )
    if read != now:
        return "What was decided has changed since you read it. Read it again."
    if lacks:
        return f"It is not ready to be approved. {' '.join(lacks)}"
    return ""


@dataclass(frozen=True)
class DemandState:
    """How far one demand is decided."""

    number: int
    asks_records: bool
    reached: int
    undecided: int
    changed: int
    lacks_copy: tuple[str, ...] = ()
    lacks_file: tuple[str, ...] = ()
    closed_cases: int = 0

    @property
    def decided(self) -> int:
        """How many of its items are decided, as they stand now."""
        return self.reached - self.undecided - self.changed

    @property
    def is_decided(self) -> bool:
        """Tell whether nothing of it waits; testimony is answered elsewhere."""
        return not self.lacking

    @property
    def words(self) -> str:
        """Say how far it is: 112 of 118 decided, 6 wait."""
        if not self.asks_records:
            return ""
        if not self.reached:
            return "nothing chosen yet"
        wait = self.reached - self.decided
        said = f"{self.decided} of {self.reached} decided"
        return f"{said}, {wait} {'waits' if wait == 1 else 'wait'}" if wait else said

    @property
    def lacking(self) -> list[str]:
        """Say in sentences what keeps it from being answered."""
        if not self.asks_records:
            return []
        if not self.reached:
            return [f"Demand {self.number}: choose what it reaches."]
        said = []
        if self.undecided:
            said.append(f"Demand {self.number}: {_items(self.undecided)} undecided.")
        if self.changed:
            verb = "has" if self.changed == 1 else "have"
            said.append(
                f"Demand {self.number}: {_items(self.changed)[:-3].rstrip()} {verb} changed since "
                "the decision."
            )
        if self.lacks_copy:
            named = ", ".join(self.lacks_copy[:6])
            more = len(self.lacks_copy) - 6
            rest = f" and {more} more" if more > 0 else ""
            said.append(f"Demand {self.number}: no redacted copy of {named}{rest}.")
        said += [
            f"Demand {self.number}: no file is attached for “{called}”, decided to go out. Attach "
            "it, or say to whom it was handed."
            for called in self.lacks_file[:6]
        ]
        return said


def _items(count: int) -> str:
    return "1 item is" if count == 1 else f"{count} items are"


def contradicting(decided: Iterable[Decided]) -> list[str]:
    """Name items that one demand sends and another keeps back, or sends in another form."""
    by_item: dict[tuple[str, str], list[Decided]] = {}
    for one in decided:
        by_item.setdefault((one.kind, one.item), []).append(one)
    said = []
    for rows in by_item.values():
        outcomes = {one.outcome for one in rows if one.outcome is not Outcome.SENT}
        if len(outcomes) > 1 and outcomes & GOES_OUT:
            each = ", ".join(
                f"demand {one.demand}: {one.outcome.words}"
                for one in sorted(rows, key=lambda one: one.demand)
            )
            said.append(f"{rows[0].number or rows[0].label} is decided in two ways ({each}).")
    return said


def is_marked_anew(outcome: str, *, decided: str, now: str) -> bool:
    """Tell whether places are marked now in what was decided to go out whole, and were not then."""
    return outcome == Outcome.RELEASE and bool(now) and now != decided


def marked_words(called: Sequence[str]) -> str:
    """Say what is asked of who sends whole in which places are marked."""
    named = ", ".join(called[:6]) + (f" and {len(called) - 6} more" if len(called) > 6 else "")
    return (
        f"Places are marked for redaction in {named}. Choose to release it redacted; or check that "
        "it is sent whole although they are marked."
    )


class StopKind(Worded):
    """What keeps an answer from being built until a person decides about it."""

    SEALED = "sealed", "sealed by a court"
    JUVENILE = "juvenile", "the decedent was a minor"
    AGE = (
        "age",
        "neither age nor date of birth is recorded, so it is not known whether the "
        "decedent was a minor",
    )
    PROSECUTION = "prosecution", "ongoing prosecution"
    RESTRICTED = "restricted", "the case is restricted to its team"
    OTHER = "other", "another reason"


# What a person notes; the others follow from the case file.
NOTED = (StopKind.SEALED, StopKind.PROSECUTION, StopKind.JUVENILE, StopKind.OTHER)
MINOR_YEARS = 18


@dataclass(frozen=True)
class StopFound:
    """What keeps an answer back: what it is, since which record, and what was decided about it."""

    key: str
    kind: StopKind
    case_label: str
    why: str = ""
    until: date | None = None
    settled: str = ""
    case_id: UUID | None = None

    @property
    def words(self) -> str:
        """Say it: 2026-0002: ongoing prosecution (State v. Marsh)."""
        why = f" ({self.why})" if self.why else ""
        return f"{self.case_label}: {self.kind.words}{why}"


def still_stops(stop_until: date | None, today: date) -> bool:
    """Tell whether a stop with that last day still holds."""
    return stop_until is None or today <= stop_until


def is_minor(age_years: float | None, born_on: date | None, died_on: date) -> bool | None:
    """Tell whether somebody was younger than 18, by the age that is recorded or by both days.

    Where the two contradict each other, the younger one counts. None: the record has neither.
    """
    ages = [] if age_years is None else [age_years]
    if born_on is not None:
        had_birthday = (died_on.month, died_on.day) >= (born_on.month, born_on.day)
        ages.append(died_on.year - born_on.year - (0 if had_birthday else 1))
    return min(ages) < MINOR_YEARS if ages else None


def lacking(
    *,
    is_open: bool,
    demands: Sequence[DemandState],
    stops: Sequence[StopFound],
    questions: Sequence[str],
    contradictions: Sequence[str],
    closed_cases: int = 0,
    right: str = "",
) -> list[str]:
    """Say in sentences what keeps the decisions from being approved; nothing when nothing does."""
    if not is_open:
        return ["The request is closed."]
    said = []
    if not any(one.asks_records for one in demands):
        said.append("No demand for records is noted.")
    if closed_cases:
        said.append(
            "The request also asks for a case that is open to its named team only; a member of "
            "the team decides about it."
        )
    for one in demands:
        said += one.lacking
    if right:
        said.append(right)
    said += [f"{one.words}: decide whether it keeps the answer back." for one in stops
             if not one.settled]  # fmt: skip
    said += [f"Not answered yet by {name}." for name in questions]
    said += contradictions
    return said


@dataclass(frozen=True)
class LogRow:
    """One line of the withholding log: which item, what it is, and the ground; nothing of it."""

    demand: int
    item: str
    what: str
    treatment: str
    ground: str
    citation: str


def log_words(kind: str, number: str) -> tuple[str, str]:
    """Return how a log names an item (P 37, or nothing) and what it is, without disclosing it."""
    what = WITHOUT_DISCLOSING[ItemKind(kind)]
    return (number or what[0].upper() + what[1:]), what
