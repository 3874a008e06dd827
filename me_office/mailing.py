"""Mails that a job sends one after another: whether the office sends any, and one run of them."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from contextlib import suppress
from time import monotonic
from typing import Any, TypeVar

from django.conf import settings

WaitingT = TypeVar("WaitingT")


def can_mail() -> bool:
    """Tell whether this office sends mail at all."""
    backend: str = settings.EMAIL_BACKEND
    return not backend.endswith("dummy.EmailBackend")


def sent_in_turn(
    link: Any,
    waiting: Iterable[WaitingT],
    send: Callable[[WaitingT], tuple[bool, bool]],
    *,
    longest: float,
) -> int:
    """Send what waits over one connection, which is closed then; return how many went out.

    `send` tells of one whether it went out, and whether the mail server answers: where it does not,
    or after so many seconds, the run ends, so that a slow server keeps no worker. The next one goes
    on.
    """
    sent, begun = 0, monotonic()
    try:
        for one in waiting:
            if monotonic() - begun > longest:
                break
            went, answers = send(one)
            sent += went
            if not answers:
                break
    finally:
        with suppress(OSError):
            link.close()
    return sent
