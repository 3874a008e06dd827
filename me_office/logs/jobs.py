"""A line for each job, and the id of the request that led to it carried on to the worker."""

from __future__ import annotations

import logging
import re
from contextvars import Token
from time import monotonic
from typing import Any

from celery import signals

from me_office.logs import current

log = logging.getLogger("office.jobs")
HEADER = "office_request"
# How a job came out, in the words of the office's own tasks.
_OUTCOME = re.compile(r"[a-z ]{1,20}")
_KEY = re.compile(r"[0-9a-f]{8}(-[0-9a-f]{4}){3}-[0-9a-f]{12}")
_begun: dict[str, tuple[Token[current.Doing | None], float]] = {}


def _carry(headers: dict[str, Any] | None = None, **_: object) -> None:
    """Send the id of the request along with what it asks of a worker."""
    if headers is not None and current.request_id():
        headers[HEADER] = current.request_id()


def _begin(task_id: str = "", task: Any = None, **_: object) -> None:
    """Name the job: by the request that led to it, or by itself."""
    carried = (getattr(task.request, "headers", None) or {}).get(HEADER, "")
    now = current.Doing(id=str(carried or task_id), job=task.name)
    _begun[task_id] = (current.doing.set(now), monotonic())


def _end(
    task_id: str = "",
    task: Any = None,
    kwargs: dict[str, object] | None = None,
    retval: object = None,
    state: str = "",
    **_: object,
) -> None:
    """Write how it came out, and of which record it was."""
    token, began = _begun.pop(task_id, (None, monotonic()))
    fields: dict[str, object] = {"state": state, "ms": round((monotonic() - began) * 1000)}
    if isinstance(retval, int) or (isinstance(retval, str) and _OUTCOME.fullmatch(retval)):
        fields["outcome"] = retval
    keys = [value for value in (kwargs or {}).values() if _KEY.fullmatch(str(value))]
    if keys:
        fields["of"] = keys[0]
    log.info("%s: %s", task.name, state.lower() or "ended", extra={"fields": fields})
    if token is not None:
        current.doing.reset(token)


def _leave_it_configured(**_: object) -> None:
    """Keep Celery from making handlers of its own: Django has made the office's."""


def listen() -> None:
    """Have Celery tell of every job; asked twice, it listens once."""
    signals.setup_logging.connect(_leave_it_configured)
    signals.before_task_publish.connect(_carry)
    signals.task_prerun.connect(_begin)
    signals.task_postrun.connect(_end)
