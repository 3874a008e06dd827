"""Times one request after another, and counts its statements."""

from __future__ import annotations

import statistics
import time
from collections.abc import Callable, Sequence
from contextlib import AbstractContextManager
from dataclasses import dataclass, field
from typing import Any, Protocol

from django.db import connection
from django.test import Client

MOST_STATEMENTS = 15
# Pages that tell of nearly every room at once, by title: the number is still the same for any case.
# The first page tells what each room of the clerk has waiting, a statement a room.
MORE_STATEMENTS = {
    "report, open case": 20,
    "review": 17,
    "first page, pathologist": 17,
    "first page, supervisor": 17,
}
MOST_P95_MS = 150
MOST_RATIO = 1.3


class OpenOffice(Protocol):
    """An office that can be spoken to."""

    cases: int

    def open(self) -> AbstractContextManager[None]:
        """Speak to it from here on."""


@dataclass(frozen=True)
class Request:
    """One prepared request: who asks for what, and the answer that says it worked."""

    client: Client
    path: str
    said: dict[str, Any] | None = None
    expected: int = 200

    def send(self) -> Any:
        """Send it, and return the answer. Raises AssertionError when it did not work."""
        if self.said is None:
            answer = self.client.get(self.path)
        else:
            answer = self.client.post(self.path, self.said)
        if answer.status_code != self.expected:
            words = b"".join(answer) if answer.streaming else answer.content
            raise AssertionError(f"{self.path}: {answer.status_code}\n{words.decode()[:6000]}")
        return answer


@dataclass(frozen=True)
class Measure:
    """A page or an action, and how to prepare its requests: one for each case, all different."""

    title: str
    prepare: Callable[[int], list[Request]]
    action: bool = False


@dataclass
class Taken:
    """What the requests of one measure took in one office."""

    milliseconds: list[float] = field(default_factory=list)
    in_database: list[float] = field(default_factory=list)
    statements: list[int] = field(default_factory=list)

    @property
    def median(self) -> float:
        """Half of the requests were as fast or faster."""
        return statistics.median(self.milliseconds)

    @property
    def p95(self) -> float:
        """95 of 100 requests were as fast or faster (nearest rank)."""
        ordered = sorted(self.milliseconds)
        return ordered[-(-len(ordered) * 95 // 100) - 1]

    @property
    def most_statements(self) -> int:
        """The statements of the request that needed most."""
        return max(self.statements)


class Counter:
    """Counts statements and the time spent waiting for them."""

    def __init__(self) -> None:
        self.statements = 0
        self.seconds = 0.0

    def __call__(self, execute: Any, *rest: Any) -> Any:
        """Run one statement."""
        began = time.perf_counter()
        try:
            return execute(*rest)
        finally:
            self.seconds += time.perf_counter() - began
            self.statements += 1


def timed(request: Request, taken: Taken) -> None:
    """Send one request and note what it took, with rendering and streaming of its answer."""
    counter = Counter()
    with connection.execute_wrapper(counter):
        began = time.perf_counter()
        answer = request.send()
        if answer.streaming:
            for _ in answer:
                pass
        ended = time.perf_counter()
    taken.milliseconds.append((ended - began) * 1000)
    taken.in_database.append(counter.seconds * 1000)
    taken.statements.append(counter.statements)


def measured(
    measure: Measure, offices: Sequence[OpenOffice], *, requests: int, warm: int
) -> list[Taken]:
    """Take a measure in all offices by turns, so that what else the machine does hits all alike."""
    prepared = []
    for office in offices:
        with office.open():
            prepared.append(measure.prepare(requests + warm))
    taken = [Taken() for _ in offices]
    for turn in range(max(len(one) for one in prepared)):
        for place, office in enumerate(offices):
            if turn >= len(prepared[place]):
                continue
            with office.open():
                timed(prepared[place][turn], Taken() if turn < warm else taken[place])
    return taken
