"""Where exhibits go, which number comes next, which regions can be drawn."""

from __future__ import annotations

import pytest

from cases.exhibits.rules import (
    GAP,
    GRIDS,
    Manner,
    Region,
    Shape,
    WrongRegion,
    next_number,
    place_for,
    read_regions,
    taken_number,
    wrong_composite,
)

SQUARE = {"shape": "rectangle", "manner": "cover", "points": [[10, 10], [40, 30]]}
TRIANGLE = {"shape": "polygon", "manner": "blur", "points": [[0, 0], [50, 0], [0, 50]]}


@pytest.mark.parametrize(
    ("others", "place", "expected"),
    [
        ([], 1, GAP),
        ([1024, 2048], 1, 512),
        ([1024, 2048], 2, 1536),
        ([1024, 2048], 3, 2048 + GAP),
        ([1024, 2048], 99, 2048 + GAP),
        ([1, 2], 1, None),
        ([7, 8], 2, None),
    ],
)
def test_a_place_is_found_between_neighbors_or_there_is_none(others, place, expected):
    assert place_for(others, place) == expected


def test_numbers_go_on_from_the_highest_plain_one():
    assert next_number([]) == "1"
    assert next_number(["2", "14", "14-A", "State's 30"]) == "15"
    # What is too long for a number of a court's list is a number of something else.
    assert next_number(["3", "12345678"]) == "12345679"
    assert next_number(["3", "123456789"]) == "4"
    assert taken_number(" 14-a ", ["14-A"])
    assert not taken_number("14-B", ["14-A"])


def test_regions_are_read_and_keep_what_was_drawn():
    square, triangle = read_regions([SQUARE, TRIANGLE], width_px=100, height_px=80)
    assert square.box == (10, 10, 40, 30)
    assert square.outline == ((10, 10), (40, 10), (40, 30), (10, 30))
    assert [one.as_entry() for one in (square, triangle)] == [SQUARE, TRIANGLE]
    assert square.words == "cover rectangle 10,10 40,30, 16 px wider all round"
    assert triangle.words == (
        "blur polygon 0,0 50,0 0,50, 16 px wider all round, means of 16 px squares in steps of 16"
    )


def test_the_largest_the_smallest_and_the_most_regions_are_drawn():
    whole = {**SQUARE, "points": [[0, 0], [100, 80]]}
    least = {**SQUARE, "points": [[96, 76], [100, 80]]}
    regions = read_regions([whole, least] * 20, width_px=100, height_px=80)
    assert [one.box for one in regions[:2]] == [(0, 0, 100, 80), (96, 76, 100, 80)]
    assert len(regions) == 40


@pytest.mark.parametrize(
    ("sides", "least", "cell"),
    [
        ((120, 300), 16, 20),  # a sixth of the shorter side
        ((300, 120), 16, 20),
        ((121, 300), 16, 21),  # rounded up: never more than six colors across
        ((96, 96), 16, 16),
        ((30, 40), 16, 16),
        ((12, 12), 4.6, 5),
        ((12, 12), 0, 2),
        ((6, 6), 1.4, 2),
    ],
)
def test_a_blurred_region_keeps_at_most_six_colors_across(sides, least, cell):
    corners = ((50, 70), (50 + sides[0], 70 + sides[1]))
    region = Region(Shape.RECTANGLE, Manner.BLUR, corners)
    assert region.blur_cell_px(least) == cell
    if least == 16:
        assert region.blur_cell_px() == cell


@pytest.mark.parametrize(
    ("entries", "message"),
    [
        ([], "^Draw at least one region to cover or blur.$"),
        ("cover all", "at least one"),
        ([SQUARE] * 41, "Up to 40"),
        (["x"], "Region 1 is not"),
        ([{**SQUARE, "shape": "circle"}], "rectangle or a polygon"),
        ([{**SQUARE, "manner": "smudge"}], "covered or blurred"),
        ([{**SQUARE, "points": None}], "^Region 1 has no points"),
        ([{**SQUARE, "points": [[1, 2]]}], "has 2 to 2 points"),
        ([{**TRIANGLE, "points": [[1, 2], [9, 9]]}], "has 3 to 60 points"),
        ([{**SQUARE, "points": [[1, 2], [1.5, 9]]}], "whole numbers"),
        ([{**SQUARE, "points": [[True, 2], [8, 9]]}], "whole numbers"),
        ([SQUARE, {**SQUARE, "points": [[0, 0], [101, 9]]}], "Region 2 reaches outside"),
        ([{**SQUARE, "points": [[-1, 0], [50, 9]]}], "reaches outside"),
        ([{**SQUARE, "points": [[5, 5], [8, 60]]}], "too small"),
        ([{**SQUARE, "points": [[5, 50], [60, 53]]}], "too small"),
        ([{**SQUARE, "points": [[0, 0], [50, 81]]}], "reaches outside"),
        ([{**SQUARE, "points": [[0, -1], [50, 9]]}], "reaches outside"),
        ([{**SQUARE, "points": [1, 2]}], "whole numbers"),
        ([{**SQUARE, "points": ["ab", [8, 9]]}], "whole numbers"),
    ],
)
def test_what_cannot_be_drawn_is_refused_with_its_reason(entries, message):
    with pytest.raises(WrongRegion, match=message):
        read_regions(entries, width_px=100, height_px=80)


def test_one_two_three_four_or_six_are_an_exhibit_and_no_other_number():
    fits = [count for count in range(9) if not wrong_composite(list(range(count)))]
    assert fits == sorted(GRIDS) == [1, 2, 3, 4, 6]
    assert wrong_composite([9, 10, 9]) == "Name each photograph once."
