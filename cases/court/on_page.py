"""What several parts of a request's page need is read once for all of them.

They are given one and the same row of the request; nothing is decided on what was read so: an
action reads anew.
"""

from __future__ import annotations

from collections.abc import Callable
from contextvars import ContextVar
from typing import Any, TypeVar

from cases.court.models import RecordsRequest

ReadT = TypeVar("ReadT")
_read: ContextVar[tuple[RecordsRequest, dict[object, Any]] | None] = ContextVar(
    "_read", default=None
)


def once(asked: RecordsRequest, what: object, read: Callable[[], ReadT]) -> ReadT:
    """Return what is read of this row of a request; the second time as it was read first."""
    last = _read.get()
    if last is None or last[0] is not asked:
        last = (asked, {})
        _read.set(last)
    if what not in last[1]:
        last[1][what] = read()
    found: ReadT = last[1][what]
    return found
