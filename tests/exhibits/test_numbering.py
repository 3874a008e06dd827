"""Numbers of a whole set: prefix, letters, width, and swapping without two alike."""

from __future__ import annotations

from random import Random

import pytest

from cases.exhibits.numbering import (
    LONGEST,
    joined_now,
    letters,
    numbers_for,
    rule_now,
    same,
    steps,
    wrong_number,
)


@pytest.mark.parametrize(
    ("joined", "said", "expected"),
    [
        ([], {}, []),
        ([False, False], {}, ["1", "2"]),
        ([False, True, True, False], {"first": 14}, ["14-A", "14-B", "14-C", "15"]),
        ([True, False, True], {"first": 9, "digits": 3}, ["009", "010-A", "010-B"]),
        ([False, False], {"prefix": "State’s ", "first": 0}, ["State’s 0", "State’s 1"]),
        ([False, False], {"first": 99, "digits": 2}, ["99", "100"]),
    ],
)
def test_numbers_follow_each_other_and_what_goes_together_gets_letters(joined, said, expected):
    rule = {"prefix": "", "first": 1, "digits": 1, **said}
    assert numbers_for(joined, **rule) == expected


@pytest.mark.parametrize(
    ("number", "rule"),
    [
        ("S-21", ("S-", 21, 1)),
        ("State’s 7", ("State’s ", 7, 1)),
        ("014", ("", 14, 3)),
        ("14-A", ("", 14, 1)),
        ("D-0b", ("D-", 0, 1)),
        ("99999", ("", 99_999, 1)),
        ("100000", ("", 1, 1)),
        ("Prosecution 3", ("Prosecution ", 3, 1)),
        ("Prosecutions 3", ("", 1, 1)),
        ("A-1-2", ("", 1, 1)),
        ("Diagram", ("", 1, 1)),
        ("", ("", 1, 1)),
    ],
)
def test_the_rule_that_stands_is_read_from_the_first_number(number, rule):
    assert tuple(rule_now(number)[name] for name in ("before", "first", "digits")) == rule
    if rule != ("", 1, 1):
        [again] = numbers_for([False], prefix=rule[0], first=rule[1], digits=rule[2])
        assert number.upper().startswith(again.upper())


def test_letters_go_on_after_z():
    assert [letters(place) for place in (0, 1, 25, 26, 27, 51, 52)] == [
        "A", "B", "Z", "AA", "AB", "AZ", "BA",
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("numbers", "expected"),
    [
        (["14-A", "14-B", "15"], [False, True, False]),
        (["14a", "14B", "15-A"], [False, True, False]),
        (["14", "14-A", "14-ABC"], [False, False, False]),
        (["A", "B"], [False, False]),
        ([], []),
    ],
)
def test_numbers_that_share_their_figures_are_seen_as_going_together(numbers, expected):
    assert joined_now(numbers) == expected


def test_what_can_be_no_numbers_is_said():
    assert wrong_number(["1", "x" * LONGEST]) == ""
    assert wrong_number(["1", "x" * (LONGEST + 1)]).endswith("at most 24 characters.")
    assert wrong_number(["1", ""]) == "Every exhibit needs a number."
    assert wrong_number(["14-a", "14-A"]) == "Two exhibits would have the number 14-A."


def written(now, wanted):
    """Write the steps one after another, as the table would allow them."""
    held, count = list(now), 0
    for at, number in steps(now, wanted):
        held[at] = number
        count += 1
        assert len({same(one) for one in held}) == len(held), held
    assert held == list(wanted)
    return count


def test_numbers_swap_and_no_two_are_alike_in_between():
    assert written(["1", "2", "3"], ["1", "2", "3"]) == 0
    assert written(["1", "2", "3"], ["2", "3", "4"]) == 3
    assert written(["1", "2"], ["2", "1"]) == 3
    assert written(["a", "b"], ["A", "b"]) == 1
    # One that is in the way of the number that stands aside.
    assert written(["renumbering 1", "2"], ["2", "renumbering 1"]) == 3
    drawn = Random(7)
    for size in range(1, 9):
        for _ in range(40):
            pool = [str(number) for number in range(size + 3)]
            written(drawn.sample(pool, size), drawn.sample(pool, size))
