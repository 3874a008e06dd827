"""Where the words of a measured line stand on the picture."""

from __future__ import annotations

import pytest

from evidence.measuring.drawing import _place, line_sizes

WIDTH, HEIGHT = 1500, 1000
LETTER = line_sizes(WIDTH, HEIGHT)["font_size"]


@pytest.mark.parametrize(
    ("points", "side", "end"),
    [
        ([[600, 500], [800, 430]], "right", [800, 430]),
        ([[800, 430], [600, 500]], "right", [800, 430]),
        ([[1000, 500], [1450, 430]], "left", [1000, 500]),
        ([[700, 300], [720, 600]], "above", [700, 300]),
        ([[720, 600], [700, 300]], "above", [700, 300]),
        ([[700, 20], [720, 600]], "below", [720, 600]),
        ([[30, 400], [1470, 430]], "above", [30, 400]),
    ],
)
def test_the_words_stand_at_the_end_where_there_is_room(points, side, end):
    x, y, where = _place(points, WIDTH, HEIGHT, closed=False)
    assert where == side
    assert abs(x - end[0]) <= 2 * LETTER
    assert y == end[1]


def box(place):
    """The room that two rows of twenty-four letters take: left, top, right, bottom."""
    x, y, side = place
    left = {"right": x, "left": x - 12 * LETTER}.get(side, x - 6 * LETTER)
    top = {"above": y - 3.4 * LETTER, "below": y + LETTER}.get(side, y - 1.2 * LETTER)
    return left, top, left + 12 * LETTER, top + 2.6 * LETTER


def test_the_words_of_a_length_and_of_the_width_across_it_do_not_meet():
    length = box(_place([[600, 500], [800, 430]], WIDTH, HEIGHT, closed=False))
    width = box(_place([[670, 400], [730, 530]], WIDTH, HEIGHT, closed=False))
    apart = (
        length[2] < width[0] or width[2] < length[0] or length[3] < width[1] or width[3] < length[1]
    )
    assert apart


def test_the_words_of_an_area_stand_over_its_middle():
    x, y, side = _place(
        [[400, 300], [600, 300], [600, 500], [400, 500]], WIDTH, HEIGHT, closed=True
    )
    assert (x, y, side) == (500, 300, "above")
