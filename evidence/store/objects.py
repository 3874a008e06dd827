"""An object of a bucket as a file that is read from any place, and never held whole."""

from __future__ import annotations

import io
from collections.abc import Callable
from typing import Any, NamedTuple

# What is fetched at once: little where somebody jumps about, more where one reads on.
LEAST_WINDOW = 256 * 1024
MOST_WINDOW = 4 * 1024 * 1024


class Window(NamedTuple):
    """Some bytes of an object, where they begin, how long the whole is and which it was."""

    first: int
    content: bytes
    size: int
    tag: str


# Fetches from a place on, so many bytes at most, of the object that had this tag.
Fetch = Callable[[int, int, str], Window]


class ObjectReader(io.RawIOBase):
    """Reads a part of an object, window by window.

    Each window is a request of its own, over before its bytes are used: somebody who receives
    slowly keeps no answer of the store open, and an answer that is cut costs one window. All
    windows are of one object: one that was put in its place meanwhile is refused.
    """

    def __init__(self, fetch: Fetch, *, first: int = 0, length: int | None = None) -> None:
        super().__init__()
        self._fetch, self._base, self._at = fetch, first, 0
        self._step = LEAST_WINDOW
        least = self._step if length is None else min(self._step, length)
        self._window = self._head = fetch(first, least, "")
        self._length = self._window.size - first if length is None else length

    def readable(self) -> bool:
        """Tell that it can be read."""
        return True

    def seekable(self) -> bool:
        """Tell that every place can be read."""
        return True

    def tell(self) -> int:
        """Return the place in the part."""
        return self._at

    def seek(self, offset: int, whence: int = io.SEEK_SET) -> int:
        """Go to a place of the part."""
        base = {io.SEEK_SET: 0, io.SEEK_CUR: self._at, io.SEEK_END: self._length}[whence]
        self._at = max(0, base + offset)
        return self._at

    def readinto(self, into: Any) -> int:
        """Read some bytes, none behind the end of the part. Raises StoreAway."""
        left = min(len(into), self._length - self._at)
        if left <= 0:
            return 0
        piece = self._piece(self._base + self._at, left)
        into[: len(piece)] = piece
        self._at += len(piece)
        return len(piece)

    def _piece(self, place: int, most: int) -> memoryview:
        for window in (self._window, self._head):
            inside = place - window.first
            if 0 <= inside < len(window.content):
                return memoryview(window.content)[inside : inside + most]
        follows = place == self._window.first + len(self._window.content)
        self._step = min(self._step * 4, MOST_WINDOW) if follows else LEAST_WINDOW
        left = self._base + self._length - place
        self._window = self._fetch(place, min(self._step, left), self._head.tag)
        return memoryview(self._window.content)[:most]
