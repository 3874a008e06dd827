"""The frame of every state change: one transaction, one audit context, one answer per key."""

from __future__ import annotations

import functools
import inspect
import json
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from typing import Any, Concatenate, ParamSpec, TypeVar

from django.db import connection, transaction

from me_office.accounts.models import Staff
from me_office.audit import keys, looks
from me_office.audit.context import RequestFacts, current_request
from me_office.audit.models import Record

P = ParamSpec("P")
R = TypeVar("R", bound="Record | None")

# Actions that were renamed: the trail goes on telling them under the name they began with.
KEPT_ACTS = {"abandon_copy": "leave_copy", "abandon_redaction": "leave_redaction"}

_inside: ContextVar[bool] = ContextVar("_inside_an_action", default=False)


def action(
    function: Callable[Concatenate[Staff, P], R],
) -> Callable[Concatenate[Staff, P], R]:
    """Make a function a state change of the office.

    The function takes the actor first and everything else by keyword, among it `reason`. It runs
    in one transaction; every row it changes is written to the audit trail with actor, act, reason
    and request. A request that carries a key made by the client is answered once: the same key
    with the same content returns the record of the first answer, as soon as the function's own
    question for permission has been answered with yes (`me_office.audit.keys.recall`). An action
    called by another action joins the outer one's transaction, act and reason.
    """
    act = KEPT_ACTS.get(function.__name__, function.__name__)

    @functools.wraps(function)
    def run(actor: Staff, /, *args: P.args, **kwargs: P.kwargs) -> R:
        if _inside.get():
            return function(actor, *args, **kwargs)
        facts = current_request.get() or RequestFacts()
        token = _inside.set(True)
        try:
            with transaction.atomic():
                ordinal = facts.uses[act]
                facts.uses[act] += 1
                sent = keys.begin(actor, act, ordinal, facts, kwargs)
                _set_context(actor, act, str(kwargs.get("reason", "")), facts)
                under_way = keys.under_way.set(sent)
                try:
                    record = function(actor, *args, **kwargs)
                finally:
                    keys.under_way.reset(under_way)
                keys.note(sent, record)
        except keys.AnsweredBefore as answer:
            record = answer.record  # type: ignore[assignment]
        finally:
            _inside.reset(token)
        facts.done = True
        return record

    return run


@functools.cache
def parameters(action: Callable[..., Any]) -> dict[str, bool]:
    """Name what an action takes after its actor, and whether it has to be given."""
    taken = list(inspect.signature(action).parameters.values())[1:]
    return {one.name: one.default is inspect.Parameter.empty for one in taken}


def is_inside_an_action() -> bool:
    """Tell whether an action is under way: what is written now is undone if it is refused."""
    return _inside.get()


@contextmanager
def acting(actor: Staff | None, act: str) -> Iterator[None]:
    """Name actor and act for what a library changes by itself, in one transaction.

    For the second factor, which the sign-in library keeps. The office's own changes are actions.
    """
    with transaction.atomic():
        _set_context(actor, act, "", current_request.get() or RequestFacts())
        yield


def _set_context(actor: Staff | None, act: str, reason: str, facts: RequestFacts) -> None:
    who = {}
    if actor is not None:
        who = {
            "actor_id": str(actor.pk),
            "actor_name": str(actor),
            "actor_roles": actor.role_words,
        }
    context = {
        **who,
        "act": act,
        "reason": reason,
        "source": facts.source,
        "request_id": facts.request_id,
        "address": facts.address,
    }
    with connection.cursor() as cursor:
        cursor.execute("SELECT set_config('office.audit', %s, true)", [json.dumps(context)])


def note_access(actor: Staff, *, case_id: Any, what: str, record_id: Any = "") -> None:
    """Note that somebody looked. Not a change: one row, written beside the answer."""
    looks.note(actor, what, case_id=case_id, record_id=str(record_id))
