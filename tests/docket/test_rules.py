"""What a request waits for, where it stands on the board, and protective orders."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

import pytest

from cases.docket.court_side import order_since
from cases.docket.models import ProtectiveOrder
from cases.docket.rules import (
    CopiesDo,
    Facts,
    Group,
    Whom,
    group_of,
    waits_of,
    wrong_in_order,
    wrong_in_return,
)

TODAY = date(2026, 11, 30)
DAY = timedelta(days=1)
BARE = Facts(due_on=TODAY)
DECIDED = replace(BARE, demands=5, records=5, reaching=5, items=12)
READY = replace(DECIDED, approved=True)
ALL = replace(
    READY, undecided=2, stops=1, looks_of=("I. Vasko",), stopped_since=TODAY, answer="failed",
    answer_words="packet 3", unpaid="2026-014", letter_failed=True, letter_draft=True,
    right_lacks="the right of who asks to be checked",
)  # fmt: skip


def test_every_group_whom_and_end_of_copies_has_its_words():
    assert all(one.words for one in (*Group, *Whom, *CopiesDo))
    assert Group.STOPPED.words == "clock stopped"
    assert Whom.SECOND.words == "a second person"


@pytest.mark.parametrize(
    ("days", "group"),
    [(-1, "overdue"), (0, "week"), (7, "week"), (8, "later")],
)
def test_a_request_stands_by_its_day(days, group):
    assert group_of(replace(BARE, due_on=TODAY + days * DAY), TODAY) == group


def test_a_stopped_clock_comes_before_any_day():
    stopped = replace(BARE, due_on=TODAY - DAY, stopped_since=TODAY - DAY)
    assert group_of(stopped, TODAY) is Group.STOPPED


# Each row takes away what was told before: so what comes first is written down once.
@pytest.mark.parametrize(
    ("facts", "whom", "words"),
    [
        (ALL, "clerk", "a letter was not sent"),
        (replace(ALL, letter_failed=False), "look", "an answer from I. Vasko"),
        (
            replace(ALL, letter_failed=False, looks_of=()),
            "counsel", "one thing keeps the answer back until decided",
        ),
        (
            replace(ALL, letter_failed=False, looks_of=(), stops=2),
            "counsel", "2 things keep the answer back until decided",
        ),
        (
            replace(ALL, letter_failed=False, looks_of=(), stops=0),
            "party", "the clock is stopped: a ruling or an agreement",
        ),
        (replace(BARE, right_lacks="the right to be checked"), "clerk", "the right to be checked"),
        (BARE, "clerk", "demands to be entered"),
        (replace(DECIDED, reaching=3, undecided=2), "clerk", "2 of 5 demands reach nothing yet"),
        (replace(DECIDED, reaching=4), "clerk", "1 of 5 demands reaches nothing yet"),
        (replace(DECIDED, undecided=3, approved=True), "clerk", "3 of 12 items undecided"),
        (replace(DECIDED, items=1, undecided=1), "clerk", "1 of 1 item undecided"),
        (DECIDED, "second", "approval of 12 items"),
        (replace(DECIDED, items=1), "second", "approval of 1 item"),
        (
            replace(DECIDED, closed_cases=1),
            "look", "a member of the named team of a further case",
        ),
        (replace(READY, closed_cases=1), "clerk", "an answer to be made"),
        # What was sent in part needs no more than what is still undecided of it.
        (replace(DECIDED, reaching=4, sent=True), "clerk", "what is still to be sent"),
        (replace(DECIDED, undecided=1, sent=True), "clerk", "1 of 12 items undecided"),
        (
            replace(READY, answer="failed", answer_words="packet 3", unpaid="2026-014"),
            "clerk", "packet 3 could not be made",
        ),
        (
            replace(READY, answer="making", answer_words="packet 3", unpaid="2026-014"),
            "office", "packet 3 is being made",
        ),
        (
            replace(READY, answer="made", answer_words="packet 3", unpaid="2026-014"),
            "payment", "invoice 2026-014 to be paid",
        ),
        (
            replace(READY, answer="made", answer_words="packet 3", letter_draft=True),
            "clerk", "packet 3 to be handed over",
        ),
        (
            replace(READY, answer="made", answer_words="answer 2", answer_is_old=True, unpaid="7"),
            "clerk", "answer 2 built before the last decision: build anew",
        ),
        (replace(READY, letter_draft=True), "clerk", "a letter to be finished"),
        (READY, "clerk", "an answer to be made"),
        # Answered in the older way, without demands.
        (replace(BARE, answer="made", answer_words="packet 1"), "clerk",
         "packet 1 to be handed over"),
    ],
)  # fmt: skip
def test_what_a_request_waits_for(facts, whom, words):
    waits = waits_of(facts)
    assert (waits.whom, waits.words) == (whom, words)


@pytest.mark.parametrize(
    ("names", "said"),
    [(("A",), "A"), (("A", "B"), "A and B"), (("A", "B", "C"), "A, B and C")],
)
def test_several_who_look_are_all_named(names, said):
    assert waits_of(replace(BARE, looks_of=names)).words == f"an answer from {said}"


MADE = TODAY - 10 * DAY


@pytest.mark.parametrize(
    ("entry", "fields"),
    [
        ({"made_on": MADE, "copies": "return", "back_by": TODAY, "until": TODAY}, set()),
        ({"made_on": MADE, "copies": "keep", "back_by": TODAY}, {"back_by"}),
        ({"made_on": TODAY + DAY, "copies": "keep"}, {"made_on"}),
        ({"made_on": TODAY, "copies": "keep", "until": TODAY}, set()),
        ({"made_on": MADE, "copies": "keep", "until": MADE - DAY}, {"until"}),
        ({"made_on": MADE, "copies": "destroy", "back_by": MADE - DAY}, {"back_by"}),
        ({}, set()),
    ],
)
def test_what_cannot_be_so_of_an_order(entry, fields):
    assert set(wrong_in_order(entry, TODAY)) == fields


@pytest.mark.parametrize(
    ("copies", "ended_on", "wrong"),
    [
        ("return", TODAY, False),
        ("destroy", MADE, False),
        ("return", TODAY + DAY, True),
        ("return", MADE - DAY, True),
        ("keep", TODAY, True),
    ],
)
def test_what_cannot_be_so_of_the_copies_end(copies, ended_on, wrong):
    said = wrong_in_return({"ended_on": ended_on}, copies=copies, made_on=MADE, today=TODAY)
    assert bool(said) is wrong


HALF = {"demands": 2, "records": 1, "reaching": 1, "items": 4}


# A demand that asks for no records waits for no second person, and its request can come to its end.
@pytest.mark.parametrize(
    ("facts", "whom", "words"),
    [
        ({"demands": 1, "testimony": 1}, "clerk", "no date in court yet"),
        ({"demands": 1}, "clerk", "a letter that says what is kept, then to be closed"),
        ({"demands": 1, "testifies_on": date(2026, 12, 14)}, "testimony", "testimony on 14 Dec"),
        (
            {"demands": 1, "not_told_of": date(2026, 11, 20)},
            "clerk", "how testimony on 20 Nov went",
        ),
        (
            {"demands": 1, "testimony": 1, "testified": True},
            "clerk", "testimony was given: to be closed",
        ),
        ({"demands": 2, "records": 1}, "clerk", "the demand for records reaches nothing yet"),
        (
            {**HALF, "testifies_on": date(2026, 12, 14)},
            "second", "approval of 4 items",
        ),
        (
            {**HALF, "sent": True, "testifies_on": date(2026, 12, 14)},
            "testimony", "testimony on 14 Dec",
        ),
        (
            {**HALF, "testimony": 1, "sent": True, "testified": True},
            "clerk", "testimony was given: to be closed",
        ),
        (
            {**HALF, "testimony": 1, "approved": True},
            "clerk", "an answer to be made",
        ),
        ({"demands": 1, "records": 1, "sent": True}, "clerk", "what is still to be sent"),
        # Whoever is to testify too, the records are answered first.
        ({**HALF, "approved": True}, "clerk", "an answer to be made"),
    ],
)  # fmt: skip
def test_testimony_waits_for_its_day_and_for_no_second_person(facts, whom, words):
    found = waits_of(replace(BARE, **facts))
    assert (found.whom, found.words) == (whom, words)


BUILT = datetime(2026, 11, 20, 18, tzinfo=UTC)
BEFORE, SINCE = BUILT - timedelta(hours=1), BUILT + timedelta(hours=1)


@pytest.mark.parametrize(
    ("order", "today", "words"),
    [
        ({}, date(2027, 11, 2), ""),
        # In force to the end of its last day; one that was over before is no news.
        ({"until": date(2026, 11, 28)}, date(2026, 11, 28), ""),
        ({"until": date(2026, 11, 28)}, date(2026, 11, 29), "was in force until"),
        ({"until": date(2026, 11, 20)}, date(2026, 11, 29), "was in force until"),
        ({"until": date(2026, 11, 19)}, date(2026, 11, 29), ""),
        ({"created_at": SINCE, "changed_at": SINCE}, date(2026, 11, 29), "was recorded after"),
        ({"version": 2, "changed_at": SINCE}, date(2026, 11, 29), "was corrected since"),
        ({"version": 2, "changed_at": SINCE, "ended_on": TODAY}, date(2026, 11, 30), ""),
        ({"version": 2}, date(2026, 11, 29), ""),
    ],
)
def test_an_order_that_ended_or_came_since_an_answer_was_built_is_told(order, today, words):
    said = {"made_on": date(2026, 11, 2), "created_at": BEFORE, "changed_at": BEFORE, **order}
    found = order_since(ProtectiveOrder(**said), BUILT, today)
    assert words in found and bool(words) is bool(found)
    assert order_since(ProtectiveOrder(**said), None, today) == ""
