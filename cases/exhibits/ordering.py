"""Positions for a new order in which as many exhibits as possible stay untouched. No database."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Sequence

from cases.exhibits.rules import GAP


def kept_positions(positions: Sequence[int]) -> list[int]:
    """Return growing positions for exhibits that have these now, in the order that is wanted.

    The longest part that grows already keeps its positions; the others are placed between. Where
    there is no room, all are placed anew.
    """
    stays = _longest_growing(positions)
    placed = list(positions)
    at = 0
    while at < len(placed):
        if at in stays:
            at += 1
            continue
        end = next((later for later in range(at, len(placed)) if later in stays), len(placed))
        before = placed[at - 1] if at else 0
        count = end - at
        after = placed[end] if end < len(placed) else before + GAP * (count + 1)
        if after - before <= count:
            return [GAP * place for place in range(1, len(placed) + 1)]
        for step in range(count):
            placed[at + step] = before + (after - before) * (step + 1) // (count + 1)
        at = end
    return placed


def _longest_growing(values: Sequence[int]) -> set[int]:
    """Return the places of a longest part of the values that grows from left to right."""
    ends: list[int] = []
    places: list[int] = []
    before: list[int] = []
    for place, value in enumerate(values):
        at = bisect_left(ends, value)
        if at == len(ends):
            ends.append(value)
            places.append(place)
        else:
            ends[at] = value
            places[at] = place
        before.append(places[at - 1] if at else -1)
    kept: set[int] = set()
    place = places[-1] if places else -1
    while place >= 0:
        kept.add(place)
        place = before[place]
    return kept
