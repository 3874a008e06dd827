"""A year's figures, counted by hand, and against numpy over drawn years."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from datetime import date, timedelta
from uuid import UUID

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from cases.docket.figures import Asked, counted, figures_of

TODAY = date(2026, 11, 30)
KINDS = {"subpoena": "subpoena", "records request": "records request", "discovery": "discovery"}


def asked(
    n: int, kind: str, served: str, due: str, state: str, answered: str = "", **more
) -> Asked:
    return Asked(
        UUID(int=n), kind, date.fromisoformat(f"2026-{served}"), date.fromisoformat(f"2026-{due}"),
        state, date.fromisoformat(f"2026-{answered}") if answered else None, **more,
    )  # fmt: skip


# Days to answer, by hand: 9, 10, 30, 0; their median is 9.5.
YEAR = [
    asked(1, "subpoena", "01-10", "01-24", "answered", "01-19"),
    asked(2, "subpoena", "02-01", "02-11", "answered", "02-11"),
    asked(3, "records request", "03-01", "03-15", "answered", "03-31"),
    asked(4, "records request", "04-01", "04-01", "answered", "04-01"),
    asked(5, "subpoena", "05-01", "05-08", "answered"),
    asked(6, "subpoena", "11-01", "11-29", "open"),
    asked(7, "subpoena", "11-20", "11-30", "open"),
    asked(8, "records request", "10-01", "10-15", "open", stopped=True),
    # In part: a release, and still open.
    asked(9, "subpoena", "11-02", "11-12", "open", "11-10"),
    asked(10, "subpoena", "06-01", "06-10", "withdrawn"),
]
BY_HAND = {
    "asked": [1, 2, 3, 4, 5, 6, 7, 8, 9, 10],
    "answered": [1, 2, 3, 4, 5],
    "in-time": [1, 2, 4],
    "late": [3],
    "no-release": [5],
    "open": [6, 7, 8, 9],
    "overdue": [6, 9],
    "stopped": [8],
    "withdrawn": [10],
}


def test_the_figures_of_a_year_are_those_counted_by_hand():
    year = figures_of(YEAR, TODAY, KINDS)
    assert {one.key: [key.int for key in one.keys] for one in year.parts} == BY_HAND
    assert [(one.words, one.count) for one in year.kinds] == [
        ("subpoena", 7), ("records request", 3),
    ]  # fmt: skip
    assert (year.days, year.median_words) == (9.5, "9.5 days")
    assert year.part("kind-subpoena").count == 7
    assert year.part("late").words == "answered after the day due"
    assert year.part("other") is None


def test_requests_that_are_counted_alike_are_counted_as_one_by_one():
    sorts = Counter(replace(one.sort(TODAY), count=1) for one in YEAR * 3)
    alike = counted([replace(one, count=n) for one, n in sorts.items()], KINDS)
    named = figures_of(YEAR * 3, TODAY, KINDS)
    assert len(sorts) < len(YEAR), "some are counted alike"
    assert [(one.key, one.count) for one in (*alike.parts, *alike.kinds)] == [
        (one.key, len(one.keys)) for one in (*named.parts, *named.kinds)
    ]
    assert (alike.days, alike.parts[0].keys) == (named.days, ())


def test_a_year_without_requests_has_no_median():
    year = figures_of([], TODAY, KINDS)
    assert (year.median_words, year.kinds) == ("none answered", ())
    assert {one.count for one in year.parts} == {0}


def test_one_day_is_said_as_one():
    one = asked(1, "subpoena", "01-10", "01-24", "answered", "01-11")
    assert figures_of([one], TODAY, KINDS).median_words == "1 day"


DAYS = st.integers(0, 300)
ROWS = st.lists(
    st.tuples(
        st.sampled_from(["open", "answered", "withdrawn"]), DAYS, st.integers(0, 40),
        st.one_of(st.none(), st.integers(0, 60)), st.booleans(),
    ),
    max_size=40,
)  # fmt: skip


@settings(max_examples=40)
@given(ROWS)
def test_the_figures_agree_with_numpy_and_add_up(rows):
    first = date(2026, 1, 1)
    drawn = [
        Asked(
            UUID(int=n), "subpoena", first + timedelta(served), first + timedelta(served + due),
            state, None if took is None else first + timedelta(served + took), stopped,
        )
        for n, (state, served, due, took, stopped) in enumerate(rows)
    ]  # fmt: skip
    year = figures_of(drawn, TODAY, KINDS)
    n = {one.key: one.count for one in year.parts}
    answered = np.array([state == "answered" for state, *_ in rows], dtype=bool)
    took = np.array([np.nan if one[3] is None else one[3] for one in rows], dtype=float)
    due = np.array([one[2] for one in rows], dtype=float)
    known = answered & ~np.isnan(took)
    assert n["answered"] == answered.sum()
    assert n["in-time"] == (took[known] <= due[known]).sum()
    assert n["late"] == (took[known] > due[known]).sum()
    assert n["in-time"] + n["late"] + n["no-release"] == n["answered"]
    assert n["answered"] + n["open"] + n["withdrawn"] == n["asked"] == len(rows)
    assert year.days == (float(np.median(took[known])) if known.any() else None)
