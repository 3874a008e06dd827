"""What a worker makes on request, declared once a kind; every kind is made and resumed alike."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, Generic, TypeVar
from uuid import UUID

from me_office.accounts.models import Staff
from me_office.jobs import actions, running
from me_office.jobs.models import JobRecord
from me_office.jobs.queries import abandoned
from me_office.jobs.running import Stage

JobT = TypeVar("JobT", bound=JobRecord)


@dataclass(frozen=True)
class Kind(Generic[JobT]):
    """One kind of request: how it is read, begun, made and noted as failed.

    `begin` and `fail` are the app's actions, in the name of the person who asked. `make` publishes
    by one action as its last step, so that a killed worker leaves nothing; it gets the request with
    the number of its attempt, and tells each stage as it begins.
    """

    model: type[JobT]
    task: str
    queue: str
    read: Callable[[UUID], JobT | None]
    begin: Callable[[Staff, UUID], JobT | None]
    make: Callable[[JobT, Stage], Any]
    fail: Callable[[Staff, UUID, int, str], Any]

    def make_requested(self, key: UUID, *, reached: Stage = lambda stage: None) -> str:
        """Make what was asked for; run again, it makes nothing twice. Return how it came out."""
        asked = self.read(key)
        if asked is None:
            return "gone"

        def make(begun: JobT) -> None:
            asked.attempts = begun.attempts
            self.make(asked, reached)

        return running.run(
            asked,
            begin=lambda: self.begin(asked.created_by, key),
            make=make,
            fail=lambda attempt, words: self._fail(asked, attempt, words),
        )

    def resume(self) -> int:
        """Take up what nobody is making although somebody should; return how many."""
        return running.resume(
            abandoned(self.model._default_manager.all(), queue=self.queue),
            send=lambda asked: actions.send(self.task, asked.pk),
            fail=self._fail,
        )

    def _fail(self, asked: JobT, attempt: int, words: str) -> Any:
        return self.fail(asked.created_by, asked.pk, attempt, words)
