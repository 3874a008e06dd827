"""Waiting for a store that does not answer: what commands do at night, and no page ever does.

A page says at once that the store is away. A backup of hours that ended with one silence would
begin again the next night, and a command has nobody who tries again in a few minutes.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from typing import TypeVar

from evidence.store.away import StoreAway

AnswerT = TypeVar("AnswerT")
Say = Callable[[str], object]
# The waits grow from the first to the most, beyond a pause in which nobody is let through.
FIRST_SECONDS, MOST_SECONDS = 1.0, 30.0
# A run waits so long in all, in one silence or in many.
IN_ALL_SECONDS = 30 * 60.0
rest, clock = time.sleep, time.monotonic


class Patience:
    """How long one run still waits for its store, and what it was told last."""

    def __init__(self, say: Say) -> None:
        self._say = say
        self._left = IN_ALL_SECONDS
        self.why = ""

    def wait_for(self, ask: Callable[[], AnswerT]) -> AnswerT:
        """Ask until there is an answer, or no time left. Raises StoreAway."""
        wait, until = FIRST_SECONDS, None
        try:
            while True:
                try:
                    return ask()
                except StoreAway as error:
                    self.why = error.why or self.why
                    if until is None:
                        until = clock() + self._left
                    left = until - clock()
                    if not error.passing or left <= 0:
                        raise
                    if wait == FIRST_SECONDS:
                        self._say(f"The file store is not answering ({self.why}): waiting ...")
                rest(min(wait, left))
                wait = min(2 * wait, MOST_SECONDS)
        finally:
            if until is not None:
                self._left = max(0.0, until - clock())


_patience: ContextVar[Patience | None] = ContextVar("patience with the store", default=None)


def answered(ask: Callable[[], AnswerT]) -> AnswerT:
    """Return what `ask` returns; a run that is patient asks again while the store is away.

    Raises StoreAway.
    """
    patience = _patience.get()
    return ask() if patience is None else patience.wait_for(ask)


@contextmanager
def patient(say: Say) -> Iterator[Patience]:
    """Be patient with every store that is asked in the block."""
    patience = Patience(say)
    token = _patience.set(patience)
    try:
        yield patience
    finally:
        _patience.reset(token)
