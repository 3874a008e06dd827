"""What a worker makes on request, declared once a kind; every kind is made and resumed alike."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, Generic, TypeVar
from uuid import UUID

from celery import shared_task

from me_office.jobs import actions, running
from me_office.jobs.models import JobRecord
from me_office.jobs.queries import abandoned
from me_office.jobs.running import Stage

JobT = TypeVar("JobT", bound=JobRecord)


@dataclass(frozen=True)
class Kind(Generic[JobT]):
    """One kind of request: how it is read, begun, made and noted as failed.

    `begin` and `fail` are the app's actions, in the name of the person who asked; they take the
    request's key as `key`. `make` publishes by one action as its last step, so that a killed worker
    leaves nothing; it gets the request with the number of its attempt, and tells each stage as it
    begins.
    """

    model: type[JobT]
    task: str
    queue: str
    read: Callable[[UUID], JobT | None]
    begin: Callable[..., JobT | None]
    make: Callable[..., Any]
    fail: Callable[..., Any]
    key: str = "request_id"

    def tasks(self, *, resume: str, **limits: int) -> tuple[Any, Any]:
        """Return the jobs: one makes a request, one, named `resume`, takes up what was left."""

        def make(*, request_id: str) -> str:
            return self.make_requested(UUID(request_id))

        def take_up() -> int:
            return self.resume()

        return shared_task(name=self.task, **limits)(make), shared_task(name=resume)(take_up)

    def make_requested(self, key: UUID, *, reached: Stage = lambda stage: None) -> str:
        """Make what was asked for; run again, it makes nothing twice. Return how it came out."""
        asked = self.read(key)
        if asked is None:
            return "gone"

        def make(begun: JobT) -> None:
            asked.attempts = begun.attempts
            self.make(asked, reached=reached)

        return running.run(
            asked,
            begin=lambda: self.begin(asked.created_by, **{self.key: key}),
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
        said = {self.key: asked.pk, "attempt": attempt, "failure": words}
        return self.fail(asked.created_by, **said)
