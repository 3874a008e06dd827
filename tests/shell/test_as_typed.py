"""Days and times as people type them: each is read one way, or refused in words.

The browser's reading is held by the same rows in tests/browser/test_typed_time.py.
"""

from __future__ import annotations

import json
from datetime import date, timedelta
from itertools import product
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from me_office.as_typed import (
    MONTHS,
    Clock,
    NotRead,
    day_face,
    day_words,
    face,
    read_clock,
    read_day,
    read_moment,
    split,
)

ROWS: dict[str, list[list[str]]] = json.loads((Path(__file__).parent / "as_typed.json").read_text())


def outcome(read, *typed: str) -> tuple[str, str]:
    try:
        return str(read(*typed)), ""
    except NotRead as refused:
        return refused.part, str(refused)


@pytest.mark.parametrize(
    ("kind", "read", "part"), [("days", read_day, "day"), ("clocks", read_clock, "time")]
)
def test_each_is_read_one_way_or_refused_in_words(kind, read, part):
    for typed, meant, words in ROWS[kind]:
        assert outcome(read, typed) == (meant or part, words), typed
    typed = [row[0] for row in ROWS[kind]]
    assert len(typed) == len(set(typed))


def test_a_moment_says_which_of_its_two_fields_is_wrong_or_empty():
    for day, clock, meant, words in ROWS["moments"]:
        read = outcome(lambda *typed: face(*read_moment(*typed)).isoformat(), day, clock)
        assert (read[0].removesuffix(":00") if not words else read[0], read[1]) == (
            meant, words,
        ), (day, clock)  # fmt: skip


def test_a_day_is_read_back_with_its_weekday_and_its_month_in_letters():
    for iso, shown, words in ROWS["words"]:
        day = date.fromisoformat(iso)
        assert (day_face(day), day_words(day)) == (shown, words)
        assert day.strftime("%A, %B %d, %Y").replace(" 0", " ") == words


def ways_to_write(day: date) -> set[str]:
    month = MONTHS[day.month - 1]
    numbers = {
        sign.join((f"{day.month:{two}}", f"{day.day:{two}}", str(day.year)))
        for sign, two in product("/-", ("", "02"))
    }
    letters = {
        form.format(name=name, day=day.day, year=day.year)
        for name in (month, month[:3], month[:3].upper())
        for form in (
            "{name} {day} {year}", "{name} {day}, {year}", "{name}. {day}, {year}",
            "{day} {name} {year}", "{day}-{name}-{year}", "{day}{name}{year}",
        )
    }  # fmt: skip
    return {day.isoformat(), day_face(day), *numbers, *letters}


@settings(max_examples=60, deadline=None)
@given(st.dates(date(1000, 1, 1), date(2999, 12, 31)))
def test_every_day_typed_in_each_form_comes_back(day):
    for typed in ways_to_write(day):
        assert read_day(typed) == day, typed
    european = f"{day.day:02}/{day.month:02}/{day.year}"
    if day.day > 12:
        with pytest.raises(NotRead, match=f"Month first: {day_face(day)}"):
            read_day(european)


def test_every_minute_typed_in_each_form_comes_back():
    for minute in range(24 * 60):
        meant = Clock(*divmod(minute, 60))
        at = meant.time
        half = f"{at.hour % 12 or 12}:{at.minute:02} {'AM' if at.hour < 12 else 'PM'}"
        forms = [str(meant), f"{at:%H%M}"]
        if at.minute or at.hour % 12:
            forms += [half, half.lower().replace(" ", ""), half[:-1].lower() + ".m."]
        for typed in forms:
            assert read_clock(typed) == meant, typed
        assert Clock(at.hour, at.minute, 7).time == at.replace(second=7)


@settings(max_examples=150, deadline=None)
@given(st.text("0123456789/-:,. TapmNOVnov", max_size=14))
def test_whatever_is_read_is_read_the_same_when_it_is_written_out(typed):
    """And never as a day as well as a time, nor as a moment on top of either."""
    read = []
    for reader in (read_day, read_clock):
        try:
            read.append(reader(typed))
        except NotRead as refused:
            assert refused.words.endswith(".")
    assert len(read) <= 1
    for one in read:
        assert split(typed) == (typed, "")
        if isinstance(one, date):
            assert read_day(day_face(one)) == read_day(one.isoformat()) == one
            assert one + timedelta(days=1) > one
        else:
            assert read_clock(str(one)) == one
