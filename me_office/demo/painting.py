"""Paints photographs ahead, in a process of its own, while the acts before them are played."""

from __future__ import annotations

import multiprocessing
import os
import threading
from collections.abc import Iterator, Mapping
from concurrent.futures import Executor, Future, ProcessPoolExecutor
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from me_office.demo.pictures import render


@dataclass(frozen=True)
class Order:
    """One picture to paint; `taken_at` is the camera's own time."""

    kind: str
    seed: int
    width: int
    label: str
    scale: bool
    taken_at: datetime
    options: Mapping[str, Any]


def paint(order: Order) -> bytes:
    """Return the picture as a camera would hand it over."""
    painted = render(
        order.kind,
        seed=order.seed,
        width=order.width,
        height=order.width * 2 // 3,
        label=order.label,
        scale=order.scale,
        **order.options,
    )
    return painted.jpeg(quality=86, exif={"DateTimeOriginal": order.taken_at})


class Here(Executor):
    """Paints at once, in this process."""

    def submit(self, fn: Any, /, *args: Any, **kwargs: Any) -> Future[Any]:
        """Do it now."""
        done: Future[Any] = Future()
        done.set_result(fn(*args, **kwargs))
        return done


@contextmanager
def painters(*, beside: bool) -> Iterator[Executor]:
    """Yield what paints: a process beside this one, or this one itself."""
    if not beside:
        yield Here()
        return
    # Not forked: the child must not share the connection to the database.
    spawned = multiprocessing.get_context("spawn")
    pool = ProcessPoolExecutor(1, mp_context=spawned, initializer=_end_with_parent)
    try:
        yield pool
    finally:
        pool.shutdown(cancel_futures=True)


def _end_with_parent() -> None:
    """Keep the painter from outliving a load that was killed: its queue would never close."""
    parent = multiprocessing.parent_process()

    def wait() -> None:
        if parent is not None:
            parent.join()
            os._exit(1)

    threading.Thread(target=wait, daemon=True).start()
