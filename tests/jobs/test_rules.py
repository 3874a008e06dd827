"""What may follow what for a worker's request, and when it is taken up again: every row.

Moves and times are the office's own (common practice), written out a second time.
"""

from __future__ import annotations

from datetime import timedelta
from itertools import product
from types import SimpleNamespace

import pytest

from me_office.jobs import actions
from me_office.jobs.actions import TakenOver
from me_office.jobs.rules import UNDER_WAY, JobState, can_move, is_abandoned, may_begin

MOVES = {
    ("waiting", "making"), ("waiting", "failed"), ("making", "making"), ("making", "made"),
    ("making", "failed"), ("failed", "waiting"),
}  # fmt: skip
JUST_BEFORE, TWO_MINUTES = timedelta(minutes=2, microseconds=-1), timedelta(minutes=2)
AFTER = timedelta(minutes=2, microseconds=1)


def test_only_the_written_moves_are_allowed():
    allowed = {(a.value, b.value) for a, b in product(JobState, JobState) if can_move(a, b)}
    assert allowed == MOVES
    assert set(UNDER_WAY) == {"waiting", "making"}


@pytest.mark.parametrize("silent", [timedelta(0), JUST_BEFORE, TWO_MINUTES, AFTER])
@pytest.mark.parametrize("state", JobState)
def test_what_is_under_way_and_silent_for_two_minutes_is_abandoned(state, silent):
    expected = state in {JobState.WAITING, JobState.MAKING} and silent >= TWO_MINUTES
    assert is_abandoned(state, silent) is expected


@pytest.mark.parametrize("silent", [timedelta(0), JUST_BEFORE, TWO_MINUTES, AFTER])
@pytest.mark.parametrize("state", JobState)
def test_an_attempt_begins_where_nobody_is_at_it(state, silent):
    waits = state is JobState.WAITING
    left = state is JobState.MAKING and silent >= TWO_MINUTES
    assert may_begin(state, silent) is (waits or left)


@pytest.mark.parametrize("state", ["made", "failed"])
def test_what_has_ended_is_another_attempts(state):
    job = SimpleNamespace(attempts=2, state=state)
    with pytest.raises(TakenOver):
        actions.require_attempt(job, 2)
    with pytest.raises(TakenOver):
        actions.fail(None, job, attempt=2, failure="late")
