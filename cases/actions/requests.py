"""The actions that all requests have alike which a worker makes: begun, failed, tried again, left.

A room says what is its own; asking, and keeping what was made, it does itself.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property
from typing import Any, Generic, TypeVar
from uuid import UUID

from cases import access
from cases.access import Act
from cases.actions.entry import called, case_to_change
from cases.models import Case
from me_office.accounts.models import Staff
from me_office.audit.actions import action
from me_office.audit.records import require_version
from me_office.jobs import actions as jobs
from me_office.jobs.models import JobRecord

JobT = TypeVar("JobT", bound=JobRecord)


@dataclass(frozen=True)
class Alike(Generic[JobT]):
    """What these actions have to know of one kind of request.

    The actions are named after it: `begin_copy`, `fail_copy`, `retry_copy`, `abandon_copy`.
    `locked(key, case=None)` returns the request, locked after its case. `key` is what page and API
    call the request's key, `step` what is said when an attempt begins. `asks_more` refuses who may
    not try again although the case allows it.
    """

    name: str
    act: Act
    task: str
    step: str
    locked: Callable[..., JobT]
    key: str = "request_id"
    asks_more: Callable[[Staff, Any], None] | None = None

    @cached_property
    def begin(self) -> Callable[..., JobT | None]:
        """The action that begins an attempt; it returns None when nothing is to do.

        Nothing is to do when it is made, when it failed and nobody asked again, or when another
        worker is at it. Raises NotKnown, and NotAllowed when the person who asked may no longer.
        """

        def begin(actor: Staff, *, request_id: UUID, reason: str = "") -> JobT | None:
            asked = self.locked(request_id)
            if not asked.is_under_way:
                return None
            access.require(actor, self.act, _case_of(asked))
            return jobs.begin(actor, asked, step=self.step)

        return action(called(f"begin_{self.name}", begin, request_id=self.key))

    @cached_property
    def fail(self) -> Callable[..., JobT]:
        """The action that notes, in words for the person, why an attempt did not succeed.

        Raises NotKnown, TakenOver.
        """

        def fail(
            actor: Staff, *, request_id: UUID, attempt: int, failure: str, reason: str = ""
        ) -> JobT:
            asked = self.locked(request_id)
            return jobs.fail(actor, asked, attempt=attempt, failure=failure)

        return action(called(f"fail_{self.name}", fail, request_id=self.key))

    @cached_property
    def retry(self) -> Callable[..., JobT]:
        """The action that tries again to make what was not made. Raises as `_decides`."""

        def again(actor: Staff, asked: JobT) -> JobT:
            if self.asks_more is not None:
                self.asks_more(actor, asked)
            return jobs.wait_again(actor, asked, task=self.task)

        return self._decides(f"retry_{self.name}", again)

    @cached_property
    def abandon(self) -> Callable[..., JobT]:
        """The action that leaves what was not made; why it was not stays with the request.

        Raises as `_decides`.
        """
        return self.leaves(f"abandon_{self.name}")

    def leaves(self, name: str) -> Callable[..., JobT]:
        """Return the action that leaves what was not made, under another name."""
        return self._decides(name, jobs.dismiss)

    def _decides(self, name: str, move: Callable[[Staff, JobT], JobT]) -> Callable[..., JobT]:
        """Return an action of the person who sees that something was not made.

        Raises NotKnown, NotAllowed, StaleRecord, Refused.
        """

        def decide(
            actor: Staff, *, case_id: UUID, request_id: UUID, version: int, reason: str = ""
        ) -> JobT:
            case = case_to_change(actor, self.act, case_id)
            asked = self.locked(request_id, case=case)
            require_version(asked, version)
            return move(actor, asked)

        return action(called(name, decide, request_id=self.key))


def _case_of(asked: Any) -> Case:
    case: Case = asked.case
    return case
