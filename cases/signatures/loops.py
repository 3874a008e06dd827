"""pyHanko begins an event loop of its own for each signature, and for each that it checks."""

from __future__ import annotations

import asyncio
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from functools import wraps
from typing import ParamSpec, TypeVar

P = ParamSpec("P")
R = TypeVar("R")


def in_its_own_loop(function: Callable[P, R]) -> Callable[P, R]:
    """Run it in a thread of its own where the caller's already has a loop that runs.

    The function asks nothing of the database: a thread has a connection of its own.
    """

    @wraps(function)
    def run(*args: P.args, **kwargs: P.kwargs) -> R:
        try:
            asyncio.get_running_loop()
        except RuntimeError:
            return function(*args, **kwargs)
        with ThreadPoolExecutor(1) as thread:
            return thread.submit(function, *args, **kwargs).result()

    return run
