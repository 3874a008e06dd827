"""What follows from a change of a request's clock, and what cannot be so of one."""

from __future__ import annotations

from datetime import date

import pytest

from cases.clock.rules import (
    Effect,
    Standing,
    after,
    days_left,
    wrong_in_change,
    wrong_in_fixed,
)

SERVED, TODAY = date(2026, 11, 2), date(2026, 11, 28)
RUNS = Standing(date(2026, 12, 11))
STOPPED = Standing(date(2026, 12, 11), date(2026, 11, 20))


def test_a_clock_stops_and_runs_again_with_what_was_left():
    stopped = after(RUNS, Effect.STOPS, on=date(2026, 11, 20), due_on=None, days_left=None)
    assert stopped == STOPPED
    assert days_left(stopped) == 21
    again = after(stopped, Effect.RUNS, on=date(2026, 11, 27), due_on=None, days_left=21)
    assert again == Standing(date(2026, 12, 18))
    day = after(stopped, Effect.RUNS, on=date(2026, 11, 27), due_on=date(2027, 1, 5),
                days_left=None)  # fmt: skip
    assert day == Standing(date(2027, 1, 5))
    assert days_left(RUNS) == 0
    assert days_left(Standing(date(2026, 11, 1), date(2026, 11, 20))) == 0


def test_a_day_moves_and_what_changes_nothing_changes_nothing():
    moved = after(RUNS, Effect.MOVES, on=TODAY, due_on=date(2026, 12, 31), days_left=None)
    assert moved == Standing(date(2026, 12, 31))
    kept = after(STOPPED, Effect.MOVES, on=TODAY, due_on=date(2026, 12, 31), days_left=None)
    assert kept == Standing(date(2026, 12, 31), STOPPED.stopped_since)
    assert after(RUNS, Effect.NONE, on=TODAY, due_on=None, days_left=None) == RUNS


def said(effect: Effect, **more):
    return {"on": TODAY, "effect": effect.value, "new_due_on": None, "days_left": None, **more}


@pytest.mark.parametrize(
    ("now", "entry", "fields"),
    [
        (RUNS, said(Effect.NONE), []),
        (RUNS, said(Effect.STOPS), []),
        (RUNS, said(Effect.STOPS, on=SERVED), []),
        (RUNS, said(Effect.MOVES, new_due_on=SERVED), []),
        (STOPPED, said(Effect.RUNS, days_left=0), []),
        (STOPPED, said(Effect.RUNS, days_left=3650), []),
        (STOPPED, said(Effect.RUNS, new_due_on=date(2027, 1, 5)), []),
        (STOPPED, said(Effect.RUNS, on=date(2026, 11, 20), days_left=3), []),
        (RUNS, said(Effect.STOPS, on=date(2026, 11, 29)), ["on"]),
        (RUNS, said(Effect.STOPS, on=date(2026, 11, 1)), ["on"]),
        (STOPPED, said(Effect.RUNS, on=date(2026, 11, 19), days_left=3), ["on"]),
        (STOPPED, said(Effect.STOPS), ["effect"]),
        (RUNS, said(Effect.RUNS, days_left=3), ["effect"]),
        (RUNS, said(Effect.MOVES), ["new_due_on"]),
        (RUNS, said(Effect.MOVES, new_due_on=date(2026, 11, 1)), ["new_due_on"]),
        (RUNS, said(Effect.MOVES, new_due_on=TODAY, days_left=3), ["days_left"]),
        (STOPPED, said(Effect.RUNS), ["new_due_on"]),
        (STOPPED, said(Effect.RUNS, new_due_on=TODAY, days_left=3), ["new_due_on"]),
        (STOPPED, said(Effect.RUNS, days_left=3651), ["days_left"]),
        (RUNS, said(Effect.STOPS, new_due_on=TODAY), ["effect"]),
        (RUNS, said(Effect.NONE, days_left=0), ["effect"]),
    ],
)
def test_what_cannot_be_so_is_told_by_field(now, entry, fields):
    assert [*wrong_in_change(entry, now, SERVED, TODAY)] == fields


def test_a_fixed_day_is_not_before_the_service():
    assert wrong_in_fixed({"end_on": SERVED}, SERVED) == {}
    assert wrong_in_fixed({}, SERVED) == {}
    assert [*wrong_in_fixed({"end_on": date(2026, 11, 1)}, SERVED)] == ["end_on"]
