"""States of a request that a worker makes, and when its making is taken up again. No database."""

from __future__ import annotations

from datetime import timedelta
from enum import StrEnum


class JobState(StrEnum):
    """Where the making of what was asked for stands."""

    WAITING = "waiting"
    MAKING = "making"
    MADE = "made"
    FAILED = "failed"


ALLOWED_MOVES: dict[JobState, frozenset[JobState]] = {
    JobState.WAITING: frozenset({JobState.MAKING, JobState.FAILED}),
    # A killed worker leaves "making"; the next attempt begins again from there.
    JobState.MAKING: frozenset({JobState.MAKING, JobState.MADE, JobState.FAILED}),
    JobState.FAILED: frozenset({JobState.WAITING}),
    JobState.MADE: frozenset(),
}
UNDER_WAY = (JobState.WAITING.value, JobState.MAKING.value)

# A worker that is silent this long is gone; one picture never takes it this long.
SILENCE = timedelta(minutes=2)
# The first message may have been lost with the queue.
WAITS_TOO_LONG = timedelta(minutes=2)
# What ended its worker this often would go on doing so.
MAX_ATTEMPTS = 5


def can_move(now: JobState, to: JobState) -> bool:
    """Tell whether a request in state `now` may go to state `to`."""
    return to in ALLOWED_MOVES[now]


def is_abandoned(state: JobState, silent_for: timedelta) -> bool:
    """Tell whether nobody is making this although somebody should."""
    if state is JobState.MAKING:
        return silent_for >= SILENCE
    return state is JobState.WAITING and silent_for >= WAITS_TOO_LONG


def may_begin(state: JobState, silent_for: timedelta) -> bool:
    """Tell whether an attempt may begin now: nobody else is at it, and it is not made."""
    return state is JobState.WAITING or (
        state is JobState.MAKING and is_abandoned(state, silent_for)
    )
