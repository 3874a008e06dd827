"""Numbers, sizes, sides and times as they are said: what the words cover, both ends of it."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

import pytest

from cases.statements.quantities import clocks_in, counts_in, number_of, sides_in, sizes_in

NUMBERS = [
    ("11", "11", "1"),
    ("6.5", "6.5", "0.1"),
    ("4 1/2", "9/2", "1/2"),
    ("4 and 1/2", "9/2", "1/2"),
    ("3/4", "3/4", "1/4"),
    ("eleven", "11", "1"),
    ("twenty-one", "21", "1"),
    ("a hundred and twenty-one", "121", "1"),
    ("one hundred", "100", "1"),
    ("two hundred five", "205", "1"),
    ("eleven point five", "11.5", "0.1"),
    ("six point two five", "6.25", "0.01"),
    ("four and a half", "9/2", "1/2"),
    ("half", "1/2", "1/2"),
    ("three quarters", "3/4", "1/4"),
    ("two and three quarters", "11/4", "1/4"),
    ("a quarter", "1/4", "1/4"),
]


@pytest.mark.parametrize(("words", "value", "step"), NUMBERS)
def test_a_number_is_read_with_the_step_in_which_it_was_said(words, value, step):
    assert number_of(words) == (Fraction(value), Fraction(step))


def covered(words: str) -> list[tuple[str | None, str | None]]:
    return [
        tuple(None if end is None else f"{end.normalize():f}" for end in (one.low, one.high))
        for one in sizes_in(words)
    ]


SIZES = [
    ("one meter eighty", []),
    ("twelve stone 8 pounds", []),
    ("one seventy-six pounds", []),
    ("It was ten centimeters.", [("9.5", "10.5")]),
    ("11.0 cm", [("10.95", "11.05")]),
    ("110 mm", [("10.95", "11.05")]),
    ("a ten-centimeter bruise", [("9.5", "10.5")]),
    ("about 100 centimeters", [("95", "105")]),
    ("about ten centimeters", [("9.5", "10.5")]),
    ("40 cm or so", [("38", "42")]),
    ("four and a half inches", [("10.795", "12.065")]),
    ("4 1/2 in.", [("10.795", "12.065")]),
    ("half an inch", [("0.635", "1.905")]),
    ("a quarter of an inch", [("0.3175", "0.9525")]),
    ("3″ across", [("6.35", "8.89")]),
    ("ten to twelve centimeters", [("9.5", "12.5")]),
    ("between ten and twelve centimeters", [("9.5", "12.5")]),
    ("twelve or ten centimeters", [("9.5", "12.5")]),
    ("ten and six centimeters", [("9.5", "10.5"), ("5.5", "6.5")]),
    ("2 cm and 8 mm", [("1.5", "2.5"), ("0.75", "0.85")]),
    ("10 cm to 12 cm", [("9.5", "12.5")]),
    ("at least ten centimeters", [("9.5", None)]),
    ("more than ten centimeters", [("10", None)]),
    ("no more than ten centimeters", [(None, "10.5")]),
    ("less than 2 mm", [(None, "0.2")]),
    ("five feet eleven inches", [("179.07", "181.61")]),
    ("five foot eleven", [("179.07", "181.61")]),
    ("181 lb", [("81.873422785", "82.327015155")]),
    ("ten\ncentimeters", [("9.5", "10.5")]),
    ("eleven of them, and in the end six", []),
    ("10 years, 3 cameras", []),
]  # fmt: skip


@pytest.mark.parametrize(("words", "ends"), SIZES)
def test_a_size_covers_what_its_words_leave_open(words, ends):
    assert covered(words) == ends


def test_both_ends_are_covered_and_nothing_beyond():
    (ten,) = sizes_in("ten centimeters")
    covers = [ten.covers(Decimal(value)) for value in ("9.49", "9.5", "10.5", "10.51")]
    assert covers == [False, True, True, False]
    (least,) = sizes_in("at least ten centimeters")
    assert [least.covers(Decimal(v)) for v in ("9.4", "9.5", "900")] == [False, True, True]


def test_two_sides_of_a_mark_are_kept_together():
    (size,) = sizes_in("ten by six and a half centimeters")
    assert size.partner is not None
    assert (size.low, size.high) == (Decimal("9.5"), Decimal("10.5"))
    assert (size.partner.low, size.partner.high) == (Decimal("6.25"), Decimal("6.75"))
    assert [one.is_weight for one in sizes_in("81 kg and 2 cm")] == [True, False]


COUNTS = [
    ("two blows", ("2", "2", "impact")),
    ("a single impact", ("1", "1", "impact")),
    ("no hits", ("0", "0", "impact")),
    ("a couple of blows", ("2", "2", "impact")),
    ("two or three separate blows", ("2", "3", "impact")),
    ("at least two impacts", ("2", None, "impact")),
    ("more than two impacts", ("3", None, "impact")),
    ("at most two impacts", (None, "2", "impact")),
    ("fewer than two impacts", (None, "1", "impact")),
    ("12 to 15 marks", ("12", "15", "mark")),
]


@pytest.mark.parametrize(("words", "said"), COUNTS)
def test_a_number_of_impacts_or_marks_is_read(words, said):
    (one,) = counts_in(words)
    ends = tuple(None if end is None else str(end) for end in (one.low, one.high))
    assert (*ends, one.noun) == said


@pytest.mark.parametrize("words", ["two bruises", "a blow", "the blows", "page 2 marked"])
def test_what_is_no_number_of_impacts_is_not_read_as_one(words):
    assert counts_in(words) == []


SIDES = [
    ("on the right side of the chest", ["right"]),
    ("right lateral chest wall", ["right"]),
    ("the left-hand side", ["left"]),
    ("left of the anterior midline", ["left"]),
    ("the right eighth rib, the left eighth rib", ["right", "left"]),
    ("Right? All right, that's right.", []),
    ("he left the house right away", []),
    ("I was right back then", []),
    ("what was left of it", []),
]


@pytest.mark.parametrize(("words", "sides"), SIDES)
def test_a_side_of_the_body_is_told_from_other_words(words, sides):
    assert [side for _, side, _ in sides_in(words)] == sides


CLOCKS = [
    ("at 7:41", [(461, 1181)]),
    ("at 07:41", [(461,)]),
    ("at 7:41 a.m.", [(461,)]),
    ("at 7:41 p.m.", [(1181,)]),
    ("at 20:38", [(1238,)]),
    ("half past eight", [(510, 1230)]),
    ("half past eight in the evening", [(1230,)]),
    ("quarter to nine", [(525, 1245)]),
    ("a quarter past 9", [(555, 1275)]),
    ("nine o'clock", [(540, 1260)]),
    ("12 a.m.", [(0,)]),
    ("noon", [(720,)]),
    ("midnight", [(0,)]),
    ("I am sure", []),
    ("half of ten", []),
    ("25:10", []),
    ("a quarter of an inch", []),
    ("in the afternoon", []),
    ("ten past two o'clock", []),
    ("twenty minutes to 3 o'clock", []),
    ("two ten p.m.", []),
    ("two oh five p.m.", []),
    ("to ten o'clock", [(600, 1320)]),
]  # fmt: skip


@pytest.mark.parametrize(("words", "minutes"), CLOCKS)
def test_a_time_of_the_day_is_read_with_what_it_leaves_open(words, minutes):
    assert [one.minutes for one in clocks_in(words)] == minutes


def test_about_is_a_quarter_of_an_hour_to_either_side_over_midnight_too():
    (quarter,) = clocks_in("About a quarter past seven.")
    assert (quarter.about, quarter.minutes) == (True, (435, 1155))
    (exact,), (about,) = clocks_in("at 23:50"), clocks_in("at about 23:50")
    assert [exact.covers(m) for m in (1429, 1430, 1431)] == [False, True, False]
    assert [about.covers(m) for m in (1414, 1415, 5, 6)] == [False, True, True, False]
