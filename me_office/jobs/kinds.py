"""What a worker makes on request, declared once a kind; every kind is made and resumed alike."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, Generic, Protocol, TypeVar
from uuid import UUID

from celery import shared_task

from me_office.audit.models import rows_of
from me_office.jobs import actions, running, sending
from me_office.jobs.models import JobRecord
from me_office.jobs.queries import abandoned
from me_office.jobs.running import Stage

JobT = TypeVar("JobT", bound=JobRecord)


class Attempts(Protocol):
    """The actions of one kind of request by which an attempt begins, or is noted as failed.

    They are the app's, in the name of the person who asked, and take the request's key as `key`.
    """

    @property
    def task(self) -> str:
        """The name of the job."""

    @property
    def key(self) -> str:
        """What the actions call the request's key."""

    @property
    def begin(self) -> Callable[..., Any]:
        """Begins an attempt, and returns the request, or None when nothing is to do."""

    @property
    def fail(self) -> Callable[..., Any]:
        """Notes why it did not succeed."""


@dataclass(frozen=True)
class Kind(Generic[JobT]):
    """One kind of request: how it is made, what is read with it, how an attempt begins and fails.

    `make` publishes by one action as its last step, so that a killed worker leaves nothing; it gets
    the request with the number of its attempt, and tells each stage as it begins.
    """

    model: type[JobT]
    attempts: Attempts
    make: Callable[..., Any]
    reads: tuple[str, ...] = ()
    queue: str = sending.QUICK

    @property
    def task(self) -> str:
        """The name of the job that makes one."""
        return self.attempts.task

    def tasks(self, *, resume: str, **limits: int) -> tuple[Any, Any]:
        """Return the jobs: one makes a request, one, named `resume`, takes up what was left."""

        def make(*, request_id: str) -> str:
            return self.make_requested(UUID(request_id))

        def take_up() -> int:
            return self.resume()

        return shared_task(name=self.task, **limits)(make), shared_task(name=resume)(take_up)

    def make_requested(self, key: UUID, *, reached: Stage = lambda stage: None) -> str:
        """Make what was asked for; run again, it makes nothing twice. Return how it came out."""
        rows = rows_of(self.model).select_related("created_by", *self.reads)
        asked = rows.filter(pk=key).first()
        if asked is None:
            return "gone"

        def make(begun: JobT) -> None:
            asked.attempts = begun.attempts
            self.make(asked, reached=reached)

        return running.run(
            asked,
            begin=lambda: self.attempts.begin(asked.created_by, **{self.attempts.key: key}),
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
        said = {self.attempts.key: asked.pk, "attempt": attempt, "failure": words}
        return self.attempts.fail(asked.created_by, **said)
