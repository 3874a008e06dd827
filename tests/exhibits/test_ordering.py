"""Positions for a new order: they grow, and as few as possible change."""

from __future__ import annotations

from random import Random

import pytest

from cases.exhibits.ordering import kept_positions
from cases.exhibits.rules import GAP


@pytest.mark.parametrize(
    ("positions", "expected"),
    [
        ([], []),
        ([7], [7]),
        ([10, 20, 30], [10, 20, 30]),
        ([30, 10, 20], [5, 10, 20]),
        ([10, 40, 20, 30], [10, 15, 20, 30]),
        ([20, 30, 10], [20, 30, 30 + GAP]),
        ([40, 50, 10, 20, 30], [3, 6, 10, 20, 30]),
        # Two of which one goes between neighbors without room: all anew.
        ([1, 9, 2], [GAP, 2 * GAP, 3 * GAP]),
        ([5, 1, 2], [GAP, 2 * GAP, 3 * GAP]),
        ([3, 3, 3], [1, 2, 3]),
    ],
)
def test_what_grows_already_stays_and_the_rest_is_placed_between(positions, expected):
    assert kept_positions(positions) == expected


def test_any_order_grows_and_one_that_moved_moves_alone():
    drawn = Random(3)
    for _ in range(300):
        positions = [GAP * place for place in range(1, drawn.randint(2, 9))]
        moved = positions.pop(drawn.randrange(len(positions)))
        positions.insert(drawn.randint(0, len(positions)), moved)
        placed = kept_positions(positions)
        assert placed == sorted(set(placed)) and placed[0] > 0
        assert sum(now != was for now, was in zip(placed, positions, strict=True)) <= 1
        drawn.shuffle(positions)
        placed = kept_positions(positions)
        assert placed == sorted(set(placed)) and placed[0] > 0
