"""States of a request. No database, no clock."""

from __future__ import annotations

from enum import StrEnum


class RequestState(StrEnum):
    """Where a request for records stands."""

    OPEN = "open"
    ANSWERED = "answered"
    WITHDRAWN = "withdrawn"


ALLOWED_MOVES: dict[RequestState, frozenset[RequestState]] = {
    RequestState.OPEN: frozenset({RequestState.ANSWERED, RequestState.WITHDRAWN}),
    RequestState.ANSWERED: frozenset(),
    RequestState.WITHDRAWN: frozenset(),
}
