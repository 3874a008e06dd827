"""What is being done now: the request or job that every line of the log names."""

from __future__ import annotations

from contextvars import ContextVar
from dataclasses import dataclass

from django.http import HttpRequest


@dataclass
class Doing:
    """One request, or one job, by the id that its lines share."""

    id: str
    job: str = ""
    request: HttpRequest | None = None

    @property
    def person(self) -> str:
        """Return the key of who is signed in, as far as that was read already; never a name."""
        who = getattr(self.request, "_cached_user", None)
        return str(who.pk) if who is not None and who.pk is not None else ""


doing: ContextVar[Doing | None] = ContextVar("doing", default=None)


def request_id() -> str:
    """Return the id of the request that is being answered, or that led to this job, or nothing."""
    now = doing.get()
    return now.id if now is not None else ""
