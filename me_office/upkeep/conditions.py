"""What has to be right for the office to run: each looked at within a time, and said in words.

`manage.py ready`, the health addresses and the administrators' page all ask here.
"""

from __future__ import annotations

import logging
import threading
from collections import deque
from collections.abc import Callable, Iterable, Iterator
from contextlib import suppress
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from enum import StrEnum
from queue import Empty, SimpleQueue
from time import monotonic

import psycopg
from django.db import Error, connections
from django.utils import timezone
from psycopg import errors

from me_office.shell.templatetags.office import short_moment

log = logging.getLogger(__name__)
PATIENCE_SECONDS = 5.0
# What takes a part of a second of a core, or other machines, is not looked at every minute.
DEAR_SECONDS = 300.0
WHERE = "docs/production/watching.md says for each condition where to begin."
# PostgreSQL's class "operator intervention": it is stopping, starting, or was killed.
_GONE = "57P"
# Threads of a process that ask the database, condition after condition, each by one connection:
# what hangs keeps one of them, and the others go on.
DATABASE_THREADS = 3


class State(StrEnum):
    """How a condition stands."""

    RIGHT = "right"
    WRONG = "wrong"  # the office, or a part of it, does not work
    DANGER = "dangerous"  # it works, and something may be lost or seen by others
    NOT_SEEN = "not seen"  # could not be looked at


@dataclass(frozen=True)
class Said:
    """What a look found: one sentence, and what to do, with the command where there is one."""

    state: State
    says: str
    to_do: str = ""


@dataclass(frozen=True)
class Condition:
    """One condition as it was found."""

    name: str
    state: State
    says: str
    to_do: str = ""


Look = Callable[[], Iterable[Said]]


@dataclass
class _Part:
    """Something that is looked at, and since when a look at it has not come back."""

    name: str
    look: Look
    serving: bool
    patience: float
    good_for: float = 0.0
    asks_database: bool = False
    last: tuple[float, list[Said]] | None = None
    out_since: datetime | None = None
    lock: threading.Lock = field(default_factory=threading.Lock)


_Answer = SimpleQueue[list[Said]]
_parts: dict[str, _Part] = {}
_asking = threading.Lock()
_to_ask: deque[tuple[_Part, _Answer]] = deque()
_askers = 0


def right(says: str) -> Said:
    """Say that all is well."""
    return Said(State.RIGHT, says)


def wrong(says: str, to_do: str) -> Said:
    """Say that the office, or a part of it, does not work."""
    return Said(State.WRONG, says, to_do)


def dangerous(says: str, to_do: str) -> Said:
    """Say that it works, and that something may be lost or seen by others."""
    return Said(State.DANGER, says, to_do)


def condition(
    name: str,
    *,
    serving: bool = False,
    patience: float = PATIENCE_SECONDS,
    good_for: float = 0.0,
    asks_database: bool = False,
) -> Callable[[Look], Look]:
    """Register what is looked at under a name that an administrator reads.

    `serving`: without it no request can be answered, so that a load balancer should send none.
    `patience`: seconds after which a look that has not come back is said to be out.
    `good_for`: seconds for which a process tells that all was right, where a look is dear.
    `asks_database`: and nothing else that could hang, so that it shares a connection with others.
    """

    def register(look: Look) -> Look:
        if name in _parts:
            raise ValueError(f"two conditions are called {name!r}")
        _parts[name] = _Part(name, look, serving, patience, good_for, asks_database)
        return look

    return register


def names(*, serving_only: bool = False) -> list[str]:
    """Return the names of what is looked at, in the order in which it was registered."""
    return [one.name for one in _parts.values() if one.serving or not serving_only]


def look(
    wanted: Iterable[str] | None = None, *, within: float | None = None
) -> Iterator[Condition]:
    """Look at each of the named conditions, at all of them if none is named, side by side.

    Each look has its own time: what hangs is said to hang, and keeps no other waiting. One that
    has not come back is not begun again.

    `within`: seconds after which whoever asks goes on. What is not seen by then, and has time left,
    is told as it was seen before; not what no request can do without.
    """
    asked = [_parts[name] for name in (names() if wanted is None else wanted)]
    in_turn: list[tuple[_Part, _Answer]] = []
    answers = {one.name: _begun(one, in_turn) for one in asked}
    _ask_in_turn(in_turn)
    began = monotonic()
    for one in asked:
        patience = one.patience if within is None else min(within, one.patience)
        yield from _answered(one, answers[one.name], began + patience)


def _begun(one: _Part, in_turn: list[tuple[_Part, _Answer]]) -> _Answer | None:
    """Begin a look, or put it among those that ask the database; None where one is still out."""
    answer: _Answer = SimpleQueue()
    with one.lock:
        if one.last is not None and _still_good(one, *one.last):
            answer.put(one.last[1])
            return answer
        if one.out_since is not None:
            return None
        one.out_since = timezone.now()
    if one.asks_database:
        in_turn.append((one, answer))
    else:
        threading.Thread(target=_seen_alone, args=(one, answer), daemon=True).start()
    return answer


def _still_good(one: _Part, at: float, found: list[Said]) -> bool:
    # A fault is looked at anew each time: one that was mended is over at once, and one that
    # lasted a moment is not found twice.
    good = all(said.state is State.RIGHT for said in found)
    return good and monotonic() - at < one.good_for


def _ask_in_turn(ones: list[tuple[_Part, _Answer]]) -> None:
    """Let a few threads ask the database all of these."""
    global _askers
    with _asking:
        _to_ask.extend(ones)
        more = min(DATABASE_THREADS - _askers, len(ones))
        _askers += more
    for _ in range(more):
        threading.Thread(target=_ask, daemon=True).start()


def _ask() -> None:
    """Look at what waits for the database, one after another, by one connection."""
    while (there := _next_to_ask()) is not None:
        one, answer = there
        _tell(one, answer, _found(one))
        for each in connections.all(initialized_only=True):
            with suppress(Error):
                each.close_if_unusable_or_obsolete()
    connections.close_all()


def _next_to_ask() -> tuple[_Part, _Answer] | None:
    global _askers
    with _asking:
        if _to_ask:
            return _to_ask.popleft()
        _askers -= 1
        return None


def _seen_alone(one: _Part, answer: _Answer) -> None:
    found = _found(one)
    # Before it is told: whoever waits for the answer may count the connections.
    try:
        connections.close_all()
    finally:
        _tell(one, answer, found)


def _found(one: _Part) -> list[Said]:
    try:
        return list(one.look()) or [right("")]
    except Exception as error:
        log.warning("%s could not be looked at", one.name, exc_info=True)
        return [Said(State.NOT_SEEN, _why_not_seen(error))]


def _tell(one: _Part, answer: _Answer, found: list[Said]) -> None:
    with one.lock:
        one.out_since = None
        one.last = (monotonic(), found)
    answer.put(found)


def _why_not_seen(error: Exception) -> str:
    """Say why a look came to nothing; where another condition tells more, which."""
    cause = error.__cause__
    if isinstance(cause, errors.UndefinedTable | errors.UndefinedColumn):
        return "What it is read from is not there yet: see tables."
    if isinstance(cause, psycopg.OperationalError) and (cause.sqlstate or _GONE).startswith(_GONE):
        return "It is read from the database, which does not answer: see database."
    return f"It could not be looked at: {type(error).__name__}."


def _answered(one: _Part, answer: _Answer | None, until: float) -> Iterator[Condition]:
    try:
        if answer is None:
            raise Empty
        found = answer.get(timeout=max(0.0, until - monotonic()))
    except Empty:
        since = one.out_since or timezone.now()
        has_time = timezone.now() - since < timedelta(seconds=one.patience)
        if has_time and one.last is not None and not one.serving:
            found = one.last[1]
        else:
            words = f"No answer since {short_moment(since)}."
            found = [Said(State.NOT_SEEN, words, f"What it asks hangs. {WHERE}")]
    for said in found:
        yield Condition(one.name, said.state, said.says, said.to_do)
