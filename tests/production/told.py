"""What a run prints: each step with its time, and the table at its end."""

from __future__ import annotations

import time
from collections.abc import Iterator
from contextlib import contextmanager

steps: list[tuple[str, float]] = []


@contextmanager
def told(what: str) -> Iterator[None]:
    """Say what is done and how long it took."""
    print(f"... {what}", flush=True)
    began = time.monotonic()
    yield
    took = time.monotonic() - began
    steps.append((what, took))
    print(f"    {took:.1f} s", flush=True)
