"""When an answer is due, what may be released, how punctual an office is."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from statistics import median
from uuid import uuid4

import pytest

from cases.court.rules import (
    ALLOWED_MOVES,
    AUTHORITY_ASKED,
    Answered,
    PacketFacts,
    RequestState,
    authority_key,
    authority_lacks,
    can_move,
    closed_day_words,
    due_words,
    punctuality,
    why_not_at,
    why_not_left,
    why_not_released,
    wrong_in_authority,
    wrong_in_demand,
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
        (date(2026, 11, 24), "overdue since 24 Nov", "stop"),
        (date(2026, 11, 27), "due Friday, 27 Nov", "attention"),
        (date(2026, 12, 1), "due Tuesday, 1 Dec", "attention"),
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


def test_an_open_request_is_answered_or_withdrawn_and_then_goes_nowhere():
    assert set(ALLOWED_MOVES) == set(RequestState)
    moves = [(now, to) for now in RequestState for to in RequestState if can_move(now, to)]
    assert moves == [
        (RequestState.OPEN, RequestState.ANSWERED),
        (RequestState.OPEN, RequestState.WITHDRAWN),
    ]


NO_COURT = {"court": ["Name the court, or the body that issued it."]}
NO_CAUSE = {"cause_number": ["Enter its number, or “none” where the paper has none."]}
SERVED_LATER = {"served_on": ["The date served or received cannot be in the future."]}
DUE_EARLIER = {"due_on": ["The due date cannot be before the date served or received."]}
BEFORE, AFTER = WEDNESDAY - timedelta(days=1), WEDNESDAY + timedelta(days=1)


@pytest.mark.parametrize(
    ("entry", "wrong"),
    [
        ({}, {}),
        ({"kind": "subpoena"}, NO_COURT | NO_CAUSE),
        ({"kind": "court order"}, NO_COURT | NO_CAUSE),
        ({"kind": "subpoena", "court": "Fourth District"}, NO_CAUSE),
        ({"kind": "subpoena", "cause_number": "26-117"}, NO_COURT),
        ({"kind": "court order", "court": "Fourth District", "cause_number": "26-117"}, {}),
        ({"kind": "records request"}, {}),
        ({"served_on": BEFORE}, {}),
        ({"served_on": WEDNESDAY}, {}),
        ({"served_on": AFTER}, SERVED_LATER),
        ({"due_on": BEFORE}, {}),
        ({"served_on": WEDNESDAY, "due_on": WEDNESDAY}, {}),
        ({"served_on": WEDNESDAY, "due_on": AFTER}, {}),
        ({"served_on": WEDNESDAY, "due_on": BEFORE}, DUE_EARLIER),
        ({"served_on": AFTER, "due_on": WEDNESDAY}, SERVED_LATER | DUE_EARLIER),
    ],
)
def test_a_request_names_its_court_and_its_dates_run_forward(entry, wrong):
    assert wrong_in_request(entry, WEDNESDAY) == wrong


SAY_WHAT = "A part was released: say what is still to be sent."
SAY_EITHER = "Say either that this answers everything, or what is still to be sent."


@pytest.mark.parametrize(
    ("answers", "still_due", "wrong"),
    [
        ("part", "", SAY_WHAT),
        ("part", " \n", SAY_WHAT),
        ("part", "The photographs.", ""),
        ("all", "", ""),
        ("all", " ", ""),
        ("all", "The photographs.", SAY_EITHER),
    ],
)
def test_a_part_says_what_is_left_and_the_whole_leaves_nothing(answers, still_due, wrong):
    assert why_not_left(answers, still_due) == wrong


@pytest.mark.parametrize(("page", "wrong"), [(None, False), (0, True), (1, False), (7, False)])
def test_pages_of_a_paper_are_counted_from_one(page, wrong):
    said = {"page": ["Pages are counted from 1."]} if wrong else {}
    assert wrong_in_demand({"page": page}, WEDNESDAY) == said


@pytest.mark.parametrize(
    ("kind", "under", "key"),
    [
        ("subpoena", "", "subpoena"),
        ("subpoena", "family", "subpoena"),
        ("records request", "", "records request"),
        ("records request", "family", "records request:family"),
    ],
)
def test_a_request_belongs_to_a_line_of_the_list_of_authority(kind, under, key):
    assert authority_key(kind, under) == key


def test_authority_is_asked_of_families_and_insurers_until_the_office_says_otherwise():
    assert {key for key, _, needed in AUTHORITY_ASKED if needed} == {
        "records request:family",
        "records request:insurer",
    }
    kinds = {"subpoena", "court order", "discovery", "preservation", "records request"}
    under = {f"records request:{one}" for one in ("law", "family", "insurer", "agency")}
    assert {key for key, _, _ in AUTHORITY_ASKED} == kinds | under


@pytest.mark.parametrize(
    ("needed", "outcome", "says"),
    [
        (False, "open", ""),
        (False, "not shown", ""),
        (True, "shown", ""),
        (True, "open", "Whether who asks has a right to it is not checked yet."),
        (True, "not shown", "The right of who asks was checked and not shown."),
    ],
)
def test_a_right_that_is_asked_for_and_not_shown_is_said(needed, outcome, says):
    assert authority_lacks(needed=needed, outcome=outcome) == says


HOW, WHEN, WHO = "Say how it was checked.", "Say when it was checked.", "Say who checked it."
LEAVE = "Leave this empty until it is checked."


@pytest.mark.parametrize(
    ("entry", "wrong"),
    [
        ({"outcome": "open"}, {}),
        ({"outcome": "open", "how": "x"}, {"how": [LEAVE]}),
        ({"outcome": "open", "checked_on": AFTER}, {"checked_on": [LEAVE]}),
        (
            {"outcome": "shown"},
            {"how": [HOW], "checked_on": [WHEN], "checked_by": [WHO]},
        ),
        ({"outcome": "not shown", "how": "x", "checked_on": BEFORE}, {"checked_by": [WHO]}),
        ({"outcome": "shown", "how": "x", "checked_on": WEDNESDAY, "checked_by": "b"}, {}),
        (
            {"outcome": "shown", "how": "x", "checked_on": AFTER, "checked_by": "b"},
            {"checked_on": ["This date is in the future."]},
        ),
    ],
)
def test_what_was_checked_says_how_when_and_by_whom(entry, wrong):
    assert wrong_in_authority(entry, WEDNESDAY) == wrong


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


OTHER_REQUEST = "This packet was built for another request."
NOT_BUILT = "The packet is not built yet."


def test_only_a_built_packet_of_the_open_request_is_released():
    assert reasons(facts()) == ""
    assert reasons(facts(is_built=False)) == NOT_BUILT
    assert reasons(facts(sha256="")) == NOT_BUILT
    assert reasons(facts(), request_id=uuid4()) == OTHER_REQUEST
    assert reasons(facts(), case_id=uuid4()) == OTHER_REQUEST
    assert reasons(facts(), state=RequestState.ANSWERED) == (
        "The request is answered. Log another request to release more."
    )
    assert reasons(facts(), state=RequestState.WITHDRAWN) == (
        "The request was withdrawn; nothing is released for it."
    )
    assert reasons(facts(is_released=True)) == (
        "This packet was already released. Build another one for what is still to be sent."
    )


def test_a_release_lies_between_the_building_and_now():
    built = NOON - timedelta(hours=1)
    minute = timedelta(minutes=1)
    assert why_not_at(NOON, built_at=built, now=NOON) == ""
    assert why_not_at(NOON, built_at=None, now=NOON) == ""
    late = "The release cannot be in the future."
    assert why_not_at(NOON + minute, built_at=built, now=NOON) == late
    early = "The release cannot be before the packet was built."
    assert why_not_at(built - minute, built_at=built, now=NOON) == early
    # Forms take moments to the minute.
    to_the_second = built.replace(second=40, microsecond=70)
    assert why_not_at(built, built_at=to_the_second, now=NOON) == ""
    just_before = built - timedelta(microseconds=1)
    assert why_not_at(just_before, built_at=to_the_second, now=NOON) == early


def test_punctuality_counts_days_from_service_to_release():
    # Against the standard library's median.
    # One was answered on the day it was due.
    days = [2, 9, 7, 30]
    rows = [
        Answered(WEDNESDAY, WEDNESDAY + timedelta(days=7), WEDNESDAY + timedelta(days=n))
        for n in days
    ]
    counted = punctuality(rows)
    assert (counted.answered, counted.in_time, counted.median_days) == (4, 2, median(days))
    assert counted.share_words == "2 of 4"
    assert punctuality([]).median_days is None


@pytest.mark.parametrize(
    ("day", "said"),
    [
        ("2026-11-25", ""),  # a Wednesday
        ("2026-11-26", "26 Nov 2026 is Thanksgiving Day"),
        ("2026-11-27", ""),
        ("2026-11-28", "28 Nov 2026 is a Saturday"),
        ("2026-11-29", "29 Nov 2026 is a Sunday"),
        ("2026-11-30", ""),
        # 5 U.S.C. 6103(b): on a Saturday, the Friday before is the holiday of most offices.
        ("2026-07-03", "3 Jul 2026 is Independence Day"),
        ("2026-07-04", "4 Jul 2026 is Independence Day"),
        ("2027-01-01", "1 Jan 2027 is New Year's Day"),
    ],
)
def test_a_due_date_on_which_courts_are_closed_is_asked_about(day, said):
    words = closed_day_words(date.fromisoformat(day))
    assert words.startswith(said) and bool(words) == bool(said)
    assert not words or words.endswith("state holidays are not considered here.")
