"""Who acts, and through which request: carried beside the call, written with every change."""

from __future__ import annotations

import uuid
from collections import Counter
from contextvars import ContextVar
from dataclasses import dataclass, field

from me_office.logs.current import request_id


@dataclass
class RequestFacts:
    """What is known of the request that leads to a change. All of it may be empty (a job)."""

    source: str = "task"
    # Of a job: the request that led to it.
    request_id: str = field(default_factory=request_id)
    address: str = ""
    # As the device sent it, unread (`me_office.accounts.devices`).
    device_cookie: str = ""
    request_key: uuid.UUID | None = None
    # Whoever reads versions anew before each retry (the invented office) sends no equal content.
    compares: bool = True
    uses: Counter[str] = field(default_factory=Counter)
    # An action was done, or had been done before under the same key.
    done: bool = False


current_request: ContextVar[RequestFacts | None] = ContextVar("current_request", default=None)
