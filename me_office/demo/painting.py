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

from me_office.demo.pictures import Picture, render
from me_office.demo.scenario import Point


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


@dataclass(frozen=True)
class Arm:
    """A graduated edge of the scale in a picture: its zero, its last mark, and what lies between.

    Places are shares of the picture's width and height, here and in `Painted`.
    """

    zero: Point
    end: Point
    length_mm: float


@dataclass(frozen=True)
class Painted:
    """A picture as the camera hands it over, and where in it a person would point.

    Known only of marks on skin: the mark's outline, the ends of its greatest length, and the arms
    of the scale beside it.
    """

    content: bytes
    outline: tuple[Point, ...] = ()
    ends: tuple[Point, ...] = ()
    arms: tuple[Arm, ...] = ()


def paint(order: Order) -> Painted:
    """Paint a picture, and note where in it what was painted lies."""
    painted = render(
        order.kind,
        seed=order.seed,
        width=order.width,
        height=order.width * 2 // 3,
        label=order.label,
        scale=order.scale,
        **order.options,
    )
    content = painted.jpeg(quality=86, exif={"DateTimeOriginal": order.taken_at})
    return _with_places(content, painted)


def _with_places(content: bytes, painted: Picture) -> Painted:
    truth, size = painted.truth, painted.image.size
    if "length_px" not in truth:
        return Painted(content)

    def share(point: Point) -> Point:
        return point[0] / size[0], point[1] / size[1]

    arms = truth["scale"]["arms"] if truth["scale"] else ()
    return Painted(
        content,
        outline=tuple(share(point) for point in truth["outline_px"]),
        ends=tuple(share(point) for point in truth["length_px"]),
        arms=tuple(
            Arm(share(arm["zero_px"]), share(arm["end_px"]), arm["length_mm"]) for arm in arms
        ),
    )


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
