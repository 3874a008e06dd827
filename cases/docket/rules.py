"""What a request waits for, and on which part of the board it stands. No database, no clock."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from typing import Final

from me_office.entries import Entry
from me_office.statements import COMMON_PRACTICE, statement
from me_office.worded import Worded

WEEK: Final = timedelta(days=7)

UNDER_ORDER: Final = statement(
    "docket.protective-order",
    "What a protective order allows, and until when, stands in the order itself. Enter it as the "
    "order says; check with counsel where it can be read in two ways.",
    where="Requests, protective orders",
    source=COMMON_PRACTICE,
)
FIGURES_COUNT: Final = statement(
    "docket.figures",
    "Counted from what is recorded here. Which days count, and what is to be reported to whom, is "
    "governed by local law.",
    where="Requests, figures of a year",
    source=COMMON_PRACTICE,
)


class Group(Worded):
    """Part of the board."""

    OVERDUE = "overdue", "overdue"
    WEEK = "week", "due within a week"
    LATER = "later", "due later"
    STOPPED = "stopped", "clock stopped"


class Whom(Worded):
    """For whom a request waits."""

    CLERK = "clerk", "the clerk"
    COUNSEL = "counsel", "counsel’s word"
    PATHOLOGIST = "look", "a colleague’s look"
    SECOND = "second", "a second person"
    PAYMENT = "payment", "payment"
    PARTY = "party", "the requesting party"
    OFFICE = "office", "the office’s own work"
    TESTIMONY = "testimony", "the day in court"


@dataclass(frozen=True)
class Facts:
    """What is recorded of an open request, as far as it tells what it waits for."""

    due_on: date
    stopped_since: date | None = None
    demands: int = 0
    # How many of them ask for records, and for testimony; any other asks to keep something.
    records: int = 0
    testimony: int = 0
    # How many of those for records reach anything, what they reach, and what of it is undecided.
    reaching: int = 0
    items: int = 0
    undecided: int = 0
    stops: int = 0
    # Further cases that are open to their named team only, and not to who asks.
    closed_cases: int = 0
    looks_of: tuple[str, ...] = ()
    approved: bool = False
    # What keeps the answer back as to the right of who asks, in words.
    right_lacks: str = ""
    # Of the packet or answer made for it: "", "making", "failed", "made".
    answer: str = ""
    answer_words: str = ""
    # Whether it was built on other decisions than those that are approved now.
    answer_is_old: bool = False
    unpaid: str = ""
    letter_failed: bool = False
    letter_draft: bool = False
    # Its next date in court, and whether one took place.
    testifies_on: date | None = None
    testified: bool = False
    # Of a date in court that is over nobody said how it went.
    not_told_of: date | None = None
    # A part of it left the office.
    sent: bool = False


@dataclass(frozen=True)
class Waits:
    """For whom a request waits, and for what, in words."""

    whom: Whom
    words: str


def group_of(facts: Facts, today: date) -> Group:
    """Return the part of the board; a stopped clock comes before any day."""
    if facts.stopped_since is not None:
        return Group.STOPPED
    if facts.due_on < today:
        return Group.OVERDUE
    return Group.WEEK if facts.due_on - today <= WEEK else Group.LATER


def waits_of(facts: Facts) -> Waits:
    """Return what a request waits for first; what keeps others from going on comes first."""
    if facts.letter_failed:
        return Waits(Whom.CLERK, "a letter was not sent")
    if facts.looks_of:
        return Waits(Whom.PATHOLOGIST, f"an answer from {_listed(facts.looks_of)}")
    if facts.stops:
        many = f"{facts.stops} things keep" if facts.stops > 1 else "one thing keeps"
        return Waits(Whom.COUNSEL, f"{many} the answer back until decided")
    if facts.stopped_since is not None:
        return Waits(Whom.PARTY, "the clock is stopped: a ruling or an agreement")
    return _work(facts)


def _work(facts: Facts) -> Waits:
    if facts.right_lacks:
        return Waits(Whom.CLERK, facts.right_lacks)
    if not facts.demands and not facts.answer:
        return Waits(Whom.CLERK, "demands to be entered")
    if said := _undecided(facts):
        return Waits(Whom.CLERK, said)
    if facts.records and not facts.approved and not facts.sent:
        if facts.closed_cases:
            return Waits(Whom.PATHOLOGIST, "a member of the named team of a further case")
        return Waits(Whom.SECOND, f"approval of {_many(facts.items)}")
    if facts.answer == "failed":
        return Waits(Whom.CLERK, f"{facts.answer_words} could not be made")
    if facts.answer == "making":
        return Waits(Whom.OFFICE, f"{facts.answer_words} is being made")
    if facts.answer == "made" and facts.answer_is_old:
        return Waits(Whom.CLERK, f"{facts.answer_words} built before the last decision: build anew")
    if facts.unpaid:
        return Waits(Whom.PAYMENT, f"invoice {facts.unpaid} to be paid")
    if facts.answer == "made":
        return Waits(Whom.CLERK, f"{facts.answer_words} to be handed over")
    if facts.letter_draft:
        return Waits(Whom.CLERK, "a letter to be finished")
    if facts.testifies_on is not None and (facts.sent or not facts.records):
        day = facts.testifies_on
        return Waits(Whom.TESTIMONY, f"testimony on {day.day} {day:%b}")
    if facts.not_told_of is not None and (facts.sent or not facts.records):
        day = facts.not_told_of
        return Waits(Whom.CLERK, f"how testimony on {day.day} {day:%b} went")
    if facts.testimony and (facts.sent or not facts.records):
        done = "testimony was given: to be closed" if facts.testified else "no date in court yet"
        return Waits(Whom.CLERK, done)
    if facts.demands and not facts.records:
        return Waits(Whom.CLERK, "a letter that says what is kept, then to be closed")
    if facts.sent:
        return Waits(Whom.CLERK, "what is still to be sent")
    return Waits(Whom.CLERK, "an answer to be made")


def _undecided(facts: Facts) -> str:
    """Say what the clerk has to choose or decide before anybody approves it, or nothing."""
    empty = facts.records - facts.reaching
    if empty and facts.records == 1 and not facts.sent:
        return "the demand for records reaches nothing yet"
    if empty and not facts.sent:
        verb = "reaches" if empty == 1 else "reach"
        return f"{empty} of {facts.records} demands {verb} nothing yet"
    if facts.undecided:
        return f"{facts.undecided} of {_many(facts.items)} undecided"
    return ""


def _many(items: int) -> str:
    return "1 item" if items == 1 else f"{items} items"


def _listed(names: tuple[str, ...]) -> str:
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"


class CopiesDo(Worded):
    """What an order says of the copies in the end."""

    RETURN = "return", "are returned to the office"
    DESTROY = "destroy", "are destroyed"
    KEEP = "keep", "nothing is said of them"


def wrong_in_order(entry: Entry, today: date | None = None) -> dict[str, str]:
    """Return, by field, what cannot be so in a protective order as it was entered."""
    wrong: dict[str, str] = {}
    copies = entry.get("copies")
    back_by, made_on, until = entry.get("back_by"), entry.get("made_on"), entry.get("until")
    if copies == CopiesDo.KEEP and back_by:
        wrong["back_by"] = "A day goes with copies that are returned or destroyed only."
    if made_on and today and made_on > today:
        wrong["made_on"] = "The day of the order cannot be in the future."
    if made_on and until and until < made_on:
        wrong["until"] = "This is before the day of the order."
    if made_on and back_by and back_by < made_on:
        wrong["back_by"] = "This is before the day of the order."
    return wrong


def wrong_in_return(entry: Entry, *, copies: str, made_on: date, today: date) -> dict[str, str]:
    """Return what cannot be so in what is said of the copies' return or destruction."""
    ended_on = entry.get("ended_on")
    if copies == CopiesDo.KEEP:
        return {"ended_on": "The order says nothing of a return or destruction."}
    if ended_on and ended_on > today:
        return {"ended_on": "This cannot be in the future."}
    if ended_on and ended_on < made_on:
        return {"ended_on": "This is before the day of the order."}
    return {}
