"""What may be recorded of a ruling."""

from __future__ import annotations

from datetime import date

import pytest

from cases.exhibits.rulings import Ruling, wrong_ruling

WHICH = "Say for which purpose it was admitted."
DAY = date(2026, 11, 20)
PLAIN = {
    "ruling": "admitted", "purpose": "", "objected_by": "", "ground": "",
    "on_day": DAY, "today": DAY,
}  # fmt: skip


@pytest.mark.parametrize(
    ("said", "wrong"),
    [
        ({}, {}),
        ({"on_day": None}, {}),
        ({"today": date(2026, 11, 19)}, {"on_day": "This day is still to come."}),
        ({"ruling": "limited"}, {"purpose": WHICH}),
        ({"ruling": "limited", "purpose": " "}, {"purpose": WHICH}),
        ({"ruling": "limited", "purpose": "the place of the wound"}, {}),
        (
            {"ruling": "reserved", "purpose": "x"},
            {"purpose": "A purpose belongs to a ruling for a limited purpose. Choose that one."},
        ),
        ({"ground": "cumulative"}, {"objected_by": "Say who objected on this ground."}),
        ({"ground": " "}, {}),
        ({"ground": "cumulative", "objected_by": "the defense"}, {}),
        ({"objected_by": "the defense"}, {}),
    ],
)  # fmt: skip
def test_a_ruling_is_recorded_whole_or_it_is_said_what_is_wrong(said, wrong):
    assert wrong_ruling(**{**PLAIN, **said}) == wrong


def test_every_ruling_has_its_words():
    assert all(one.words for one in Ruling)
    assert {one.value: one.words for one in Ruling} == {
        "admitted": "admitted",
        "limited": "admitted for a limited purpose",
        "not admitted": "not admitted",
        "reserved": "ruling reserved",
        "withdrawn": "offer withdrawn",
    }
