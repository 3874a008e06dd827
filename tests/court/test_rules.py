"""When an answer is due, what may be released, how punctual an office is."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from statistics import median
from uuid import uuid4

import pytest

from cases.court.csv_lines import csv_lines
from cases.court.rules import (
    ALLOWED_MOVES,
    Answered,
    PacketFacts,
    RequestState,
    can_move,
    due_words,
    punctuality,
    why_not_at,
    why_not_released,
    wrong_in_request,
)

WEDNESDAY = date(2026, 11, 25)
NOON = datetime(2026, 11, 25, 17, tzinfo=UTC)


@pytest.mark.parametrize(
    ("due_on", "words", "urgency"),
    [
        (date(2025, 12, 30), "overdue since 30 Dec 2025", "stop"),
        (date(2026, 11, 20), "overdue since 20 Nov", "stop"),
        (WEDNESDAY, "due today", "stop"),
        (date(2026, 11, 26), "due tomorrow", "stop"),
        # ISO 8601 calendar: 30 November 2026 is a Monday.
        (date(2026, 11, 30), "due Monday, 30 Nov", "attention"),
        (date(2026, 12, 2), "due 2 Dec", ""),
        (date(2027, 1, 4), "due 4 Jan 2027", ""),
    ],
)
def test_a_due_date_is_said_in_words(due_on, words, urgency):
    due = due_words(due_on, WEDNESDAY)
    assert (due.words, due.urgency) == (words, urgency)


def test_urgency_never_falls_as_the_day_comes_nearer():
    order = ["", "attention", "stop"]
    urgencies = [
        order.index(due_words(WEDNESDAY + timedelta(days=days), WEDNESDAY).urgency)
        for days in range(30, -10, -1)
    ]
    assert urgencies == sorted(urgencies)


def test_an_answered_or_withdrawn_request_goes_nowhere():
    assert set(ALLOWED_MOVES) == set(RequestState)
    assert not any(can_move(RequestState.ANSWERED, to) for to in RequestState)
    assert not any(can_move(RequestState.WITHDRAWN, to) for to in RequestState)


def test_a_subpoena_names_its_court_and_cause_and_dates_run_forward():
    entry = {"kind": "subpoena", "served_on": WEDNESDAY, "due_on": WEDNESDAY - timedelta(days=1)}
    assert set(wrong_in_request(entry, WEDNESDAY)) == {"court", "cause_number", "due_on"}
    later = {"kind": "records request", "served_on": WEDNESDAY + timedelta(days=1)}
    assert set(wrong_in_request(later, WEDNESDAY)) == {"served_on"}
    family = {"kind": "records request", "served_on": WEDNESDAY, "due_on": WEDNESDAY}
    assert wrong_in_request(family, WEDNESDAY) == {}


def facts(**fields):
    values = {
        "packet_id": uuid4(),
        "case_id": uuid4(),
        "request_id": uuid4(),
        "number": 1,
        "is_built": True,
        "built_at": NOON,
        "sha256": "0" * 64,
        **fields,
    }
    return PacketFacts(**values)


def reasons(packet, *, state=RequestState.OPEN, **other):
    ids = {"case_id": packet.case_id, "request_id": packet.request_id, **other}
    return why_not_released(packet, state=state, **ids)


def test_only_a_built_packet_of_the_open_request_is_released():
    assert reasons(facts()) == ""
    assert "not built" in reasons(facts(is_built=False))
    assert "not built" in reasons(facts(sha256=""))
    assert "another request" in reasons(facts(), request_id=uuid4())
    assert "another request" in reasons(facts(), case_id=uuid4())
    assert "answered" in reasons(facts(), state=RequestState.ANSWERED)
    assert "withdrawn" in reasons(facts(), state=RequestState.WITHDRAWN)


def test_a_release_lies_between_the_building_and_now():
    built = NOON - timedelta(hours=1)
    assert why_not_at(NOON, built_at=built, now=NOON) == ""
    assert "future" in why_not_at(NOON + timedelta(minutes=1), built_at=built, now=NOON)
    assert "before the packet" in why_not_at(built - timedelta(minutes=1), built_at=built, now=NOON)
    to_the_minute = built.replace(second=40)
    assert why_not_at(built, built_at=to_the_minute, now=NOON) == ""


def test_punctuality_counts_days_from_service_to_release():
    # Against the standard library's median.
    days = [2, 9, 4, 30]
    rows = [
        Answered(WEDNESDAY, WEDNESDAY + timedelta(days=7), WEDNESDAY + timedelta(days=n))
        for n in days
    ]
    counted = punctuality(rows)
    assert (counted.answered, counted.in_time, counted.median_days) == (4, 2, median(days))
    assert counted.share_words == "2 of 4"
    assert punctuality([]).median_days is None


def test_a_cell_that_would_be_a_formula_is_text():
    lines = list(csv_lines([["=1+1", "+49", "-x", "@a", "plain, with comma", 'a "b"']]))
    # RFC 4180, section 2: fields with commas or quotes are quoted, a quote is doubled.
    assert lines == ['\'=1+1,\'+49,\'-x,\'@a,"plain, with comma","a ""b"""\r\n']
