"""States, nearness, overlaps: both sides of every limit."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from uuid import UUID, uuid4

import pytest

from cases.appearances.rules import (
    AHEAD,
    ALLOWED_MOVES,
    HEARD,
    NAMES_ITS_COURT,
    AppearanceState,
    Span,
    clashes,
    is_ahead,
    minutes_words,
    near,
    why_not_kept,
    wrong_in_appearance,
    wrong_in_testimony,
)

NOW = datetime(2026, 11, 30, 10, 0, tzinfo=UTC)
VASKO, AMADI = UUID(int=1), UUID(int=2)


def test_states_and_their_moves():
    written = {
        "expected": {"moved", "canceled", "done"},
        "moved": {"canceled", "done"},
        "canceled": set(),
        "done": set(),
    }
    assert {s.value: {t.value for t in ALLOWED_MOVES[s]} for s in AppearanceState} == written
    assert [s.value for s in AHEAD] == ["expected", "moved"]
    assert [is_ahead(s) for s in written] == [True, True, False, False]
    assert HEARD == ("deposition", "hearing", "trial")
    assert frozenset({"hearing", "trial"}) == NAMES_ITS_COURT


@pytest.mark.parametrize(
    ("begins", "ready", "words", "urgency"),
    [
        (NOW + timedelta(days=7), False, "in 7 days, Mon 7 Dec, 10:00", ""),
        (NOW + timedelta(days=6), False, "in 6 days, Sun 6 Dec, 10:00", "attention"),
        (NOW + timedelta(days=6), True, "in 6 days, Sun 6 Dec, 10:00", ""),
        (NOW + timedelta(days=2), False, "in 2 days, Wed 2 Dec, 10:00", "attention"),
        (NOW + timedelta(days=1), False, "tomorrow, 10:00", "stop"),
        (NOW + timedelta(days=1), True, "tomorrow, 10:00", "attention"),
        (NOW + timedelta(minutes=1), True, "today, 10:01", "attention"),
        (NOW, False, "began today", "attention"),
        (NOW - timedelta(days=1), True, "was 29 Nov", "attention"),
        (NOW - timedelta(days=365), True, "was 30 Nov 2025", "attention"),
        (NOW + timedelta(days=40), True, "in 40 days, Sat 9 Jan 2027, 10:00", ""),
    ],
)
def test_how_near_a_date_is(begins, ready, words, urgency):
    told = near(begins, NOW, ready=ready)
    assert (told.words, told.urgency) == (words, urgency)


@pytest.mark.parametrize(
    ("minutes", "words"), [(None, ""), (45, "45 min"), (60, "1 h"), (80, "1 h 20 min")]
)
def test_a_length_in_words(minutes, words):
    assert minutes_words(minutes) == words


def span(begins: str, minutes: int | None = 60, *, leaves: str = "", of: UUID = VASKO) -> Span:
    def at(clock: str) -> datetime:
        return datetime.fromisoformat(f"2026-12-01T{clock}+00:00")

    return Span(uuid4(), of, at(begins), at(leaves) if leaves else None, minutes)


@pytest.mark.parametrize(
    ("one", "other", "overlap"),
    [
        (span("09:00"), span("10:00"), False),
        (span("09:00"), span("09:59"), True),
        (span("09:00"), span("09:59", of=AMADI), False),
        # The way back is as long as the way there: back at 11:00.
        (span("09:00", leaves="08:00"), span("10:59"), True),
        (span("09:00", leaves="08:00"), span("11:00"), False),
        # The way to the second begins while the first goes on.
        (span("09:00"), span("11:00", leaves="09:30"), True),
        (span("09:00"), span("11:00", leaves="10:00"), False),
        # Nobody said how long the first takes: the rest of its day.
        (span("09:00", None), span("23:00"), True),
        (span("09:00"), span("23:00"), False),
    ],
)
def test_what_overlaps(one, other, overlap):
    found = clashes([other, one])
    assert found == ({one.key: [other.key], other.key: [one.key]} if overlap else {})


def test_of_several_that_overlap_the_earliest_comes_first():
    long, first, second = span("09:00", 300), span("10:00"), span("11:00")
    found = clashes([second, long, first])
    assert found == {
        long.key: [first.key, second.key],
        first.key: [long.key],
        second.key: [long.key],
    }


@pytest.mark.parametrize(
    ("entry", "fields"),
    [
        ({"kind": "trial", "court": ""}, {"court"}),
        ({"kind": "hearing", "court": ""}, {"court"}),
        ({"kind": "deposition", "court": ""}, set()),
        ({"kind": "trial", "court": "Superior Court"}, set()),
        ({"begins_at": NOW, "leave_at": NOW}, set()),
        ({"begins_at": NOW, "leave_at": NOW + timedelta(minutes=1)}, {"leave_at"}),
        ({"begins_at": NOW, "leave_at": NOW - timedelta(days=3)}, set()),
        ({"begins_at": NOW, "leave_at": NOW - timedelta(days=3, minutes=1)}, {"leave_at"}),
        ({"expected_minutes": 0}, {"expected_minutes"}),
        ({"expected_minutes": 1}, set()),
        ({"expected_minutes": 1440}, set()),
        ({"expected_minutes": 1441}, {"expected_minutes"}),
    ],
)
def test_what_cannot_be_so_in_a_date(entry, fields):
    assert set(wrong_in_appearance(entry)) == fields


def test_how_it_went_is_said_once_it_has_begun():
    assert wrong_in_testimony({}, begins=NOW, now=NOW) == {}
    later = wrong_in_testimony({}, begins=NOW + timedelta(seconds=1), now=NOW)
    assert set(later) == {"__all__"}
    assert set(wrong_in_testimony({"stand_minutes": 0}, begins=NOW, now=NOW)) == {"stand_minutes"}


@pytest.mark.parametrize(("keeps_all", "own"), [(True, False), (False, True), (True, True)])
def test_who_keeps_a_date(keeps_all, own):
    assert why_not_kept(keeps_all=keeps_all, own=own) == ""
    assert why_not_kept(keeps_all=False, own=False) != ""
