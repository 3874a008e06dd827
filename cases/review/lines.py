"""Page and line of what a printed report says, from where its lines and passages lie. No database.

The lines of each page are numbered in the margin. A typeset document tells where every number and
every beginning and end of a passage lies (`me_office/typesetting/office.typ`).
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

# Small words of a line stand higher than others, by less than this; no two lines are so near.
SAME_LINE_PT = 4.0
Place = Mapping[str, Any]


@dataclass(frozen=True)
class Lines:
    """Where a passage stands: from a line of one page to a line of the same or a later one."""

    page: int
    first: int
    last_page: int
    last: int

    @property
    def words(self) -> str:
        """As it is cited: "page 3, lines 12 to 14"."""
        if self.last_page > self.page:
            return (
                f"page {self.page}, line {self.first}, to page {self.last_page}, line {self.last}"
            )
        if self.last > self.first:
            return f"page {self.page}, lines {self.first} to {self.last}"
        return f"page {self.page}, line {self.first}"

    def kept(self) -> list[int]:
        """Return the same to be kept as JSON; `Lines(*kept)` reads it back."""
        return [self.page, self.first, self.last_page, self.last]


def lines_of(lines: Iterable[Place], marks: Iterable[Place]) -> dict[str, Lines]:
    """Return, by the key of each passage, where it stands.

    `lines`: page, y and number `n` of each line. `marks`: page, y and key of each beginning and
    each `end`; a passage in several columns has several, and goes from the first to the last line.
    What lies on no numbered line is left out.
    """
    by_page: dict[int, list[tuple[float, int]]] = {}
    for line in lines:
        by_page.setdefault(line["page"], []).append((line["y"], line["n"]))
    begun: dict[str, tuple[int, int]] = {}
    ended: dict[str, tuple[int, int]] = {}
    for mark in marks:
        near = min(
            ((abs(y - mark["y"]), n) for y, n in by_page.get(mark["page"], ())), default=None
        )
        if near is None or near[0] > SAME_LINE_PT:
            continue
        key, at = mark["key"], (mark["page"], near[1])
        if mark["end"]:
            ended[key] = max(at, ended.get(key, at))
        else:
            begun[key] = min(at, begun.get(key, at))
    return {
        key: Lines(*first, *ended[key])
        for key, first in begun.items()
        if key in ended and ended[key] >= first
    }
