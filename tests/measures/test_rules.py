"""Periods, days, ages, percentages and limits: both sides of each."""

from __future__ import annotations

from datetime import UTC, date, datetime
from zoneinfo import ZoneInfo

import pytest

from cases.measures.rules import (
    Load,
    age_group,
    age_groups,
    age_words,
    day_of,
    day_words,
    days_words,
    load_of,
    percent,
    period_of,
    share_words,
    year_before,
)

TODAY = date(2026, 11, 29)
NEW_YORK = ZoneInfo("America/New_York")


@pytest.mark.parametrize(
    ("key", "first", "last", "over"),
    [
        ("", date(2025, 11, 30), TODAY, True),
        ("12-months", date(2025, 11, 30), TODAY, True),
        ("2026", date(2026, 1, 1), TODAY, False),
        ("2025", date(2025, 1, 1), date(2025, 12, 31), True),
        ("1900", date(1900, 1, 1), date(1900, 12, 31), True),
        # What is no year, or not one that has begun, is the last twelve months.
        ("2027", date(2025, 11, 30), TODAY, True),
        ("1899", date(2025, 11, 30), TODAY, True),
        ("20x6", date(2025, 11, 30), TODAY, True),
        ("٢٠٢٥", date(2025, 11, 30), TODAY, True),
        ("02025", date(2025, 11, 30), TODAY, True),
    ],
)
def test_which_days_a_period_has(key, first, last, over):
    period = period_of(key, TODAY)
    assert (period.first, period.last, period.is_over) == (first, last, over)


@pytest.mark.parametrize(("today", "over"), [(date(2026, 12, 31), False), (date(2027, 1, 1), True)])
def test_a_year_is_over_on_the_day_after_its_last(today, over):
    assert period_of("2026", today).is_over is over


@pytest.mark.parametrize(
    ("day", "before"),
    [
        (date(2028, 2, 29), date(2027, 2, 28)),
        (date(2028, 3, 1), date(2027, 3, 1)),
        (date(2029, 2, 28), date(2028, 2, 28)),
        (date(2026, 1, 1), date(2025, 1, 1)),
    ],
)
def test_the_same_day_a_year_earlier(day, before):
    assert year_before(day) == before


def test_twelve_months_through_a_leap_day_begin_on_the_first_of_march():
    period = period_of("", date(2028, 2, 29))
    assert (period.first, (period.last - period.first).days) == (date(2027, 3, 1), 365)
    assert period.words == "1 Mar 2027 through 29 Feb 2028"


@pytest.mark.parametrize(
    ("moment", "day"),
    [
        # Midnight in New York is at 05:00 UTC in winter and at 04:00 UTC in summer.
        (datetime(2026, 1, 10, 4, 59, tzinfo=UTC), date(2026, 1, 9)),
        (datetime(2026, 1, 10, 5, 0, tzinfo=UTC), date(2026, 1, 10)),
        (datetime(2026, 7, 10, 3, 59, tzinfo=UTC), date(2026, 7, 9)),
        (datetime(2026, 7, 10, 4, 0, tzinfo=UTC), date(2026, 7, 10)),
        # The night in which the clocks go back has 25 hours and is one day.
        (datetime(2026, 11, 1, 5, 30, tzinfo=UTC), date(2026, 11, 1)),
        (datetime(2026, 11, 2, 4, 59, tzinfo=UTC), date(2026, 11, 1)),
    ],
)
def test_a_moment_belongs_to_the_office_s_day(moment, day):
    assert day_of(moment, NEW_YORK) == day


def test_a_day_is_a_day_where_the_clocks_change():
    # 23 hours apart, and 25: the next day each time.
    spring = [datetime(2026, 3, 8, 5, tzinfo=UTC), datetime(2026, 3, 9, 4, tzinfo=UTC)]
    autumn = [datetime(2026, 11, 1, 4, tzinfo=UTC), datetime(2026, 11, 2, 5, tzinfo=UTC)]
    for one, other in (spring, autumn):
        assert (day_of(other, NEW_YORK) - day_of(one, NEW_YORK)).days == 1


@pytest.mark.parametrize(
    ("part", "of", "words"),
    [
        (0, 0, "none"), (0, 9, "0 of 9"), (9, 9, "9 of 9"), (0, 10, "0 of 10 (0%)"),
        (9, 10, "9 of 10 (90%)"), (1, 1000, "1 of 1,000 (1%)"), (999, 1000, "999 of 1,000 (99%)"),
        (1000, 1000, "1,000 of 1,000 (100%)"),
    ],
)  # fmt: skip
def test_no_percentage_of_fewer_than_ten(part, of, words):
    assert share_words(part, of) == words


@pytest.mark.parametrize(
    ("share", "words"), [(0, "0%"), (0.001, "1%"), (0.846, "85%"), (0.999, "99%"), (1, "100%")]
)
def test_only_nothing_is_none_and_only_all_is_all(share, words):
    assert percent(share) == words


@pytest.mark.parametrize(
    ("autopsies", "load"),
    [(0, Load.WITHIN), (250, Load.WITHIN), (251, Load.ABOVE), (325, Load.ABOVE),
     (326, Load.FAR_ABOVE)],
)  # fmt: skip
def test_a_year_s_autopsies_beside_what_is_recommended(autopsies, load):
    assert load_of(autopsies) is load


@pytest.mark.parametrize(
    ("days", "key"),
    [(0, "to-30"), (30, "to-30"), (31, "to-60"), (60, "to-60"), (61, "to-90"), (90, "to-90"),
     (91, "to-180"), (180, "to-180"), (181, "over")],
)  # fmt: skip
def test_to_which_group_an_age_belongs(days, key):
    assert age_group(days) == key


def test_the_groups_of_ages_in_words():
    assert age_groups() == [
        ("to-30", "0 to 30 days"), ("to-60", "31 to 60 days"), ("to-90", "61 to 90 days"),
        ("to-180", "91 to 180 days"), ("over", "over 180 days"),
    ]  # fmt: skip


def test_days_in_words():
    assert [age_words(days) for days in (-1, 0, 1, 2)] == ["today", "today", "1 day", "2 days"]
    assert days_words(1200) == "1,200 days"
    assert day_words(date(2026, 3, 4)) == "4 Mar 2026"
