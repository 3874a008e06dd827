"""What several places ask of one another: both sides of every question. Common practice."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest

from cases.models import Place
from cases.rules.places import DEATH, INJURY, VEHICLE, Stay, place_questions


def at(hour: int, minute: int = 0) -> datetime:
    return datetime(2026, 3, 2, hour, minute, tzinfo=UTC)


YARD = ("injury", "Market Street")
WARD = ("died", "Eskmere hospital")
TREATED, EITHER = ("hospital", "Eskmere hospital"), ("death", "Eskmere hospital")
TWICE, LATER = "at two places at one time", "recorded with a later time"
QUESTIONS = [
    # places, the words of each question
    ([Stay(*YARD, at(1), at(2)), Stay(*WARD, at(2), at(4))], []),  # taken from one to the other
    ([Stay(*YARD, at(1), at(2, 1)), Stay(*WARD, at(2), at(4))], [TWICE]),
    ([Stay(*WARD, at(2), at(4)), Stay(*YARD, at(1), at(2, 1))], [TWICE]),
    ([Stay(*YARD, at(1), at(4)), Stay(*WARD, at(1), at(4))], [TWICE]),
    ([Stay(*YARD, at(1), at(4)), Stay(*WARD, at(2))], [TWICE]),
    ([Stay(*WARD, at(2)), Stay(*YARD, at(1), at(4))], [TWICE]),
    ([Stay(*YARD, at(1), at(4)), Stay(*WARD, at(4))], []),  # one moment, at the edge of the stay
    ([Stay(*YARD, at(1), at(4)), Stay(*WARD, at(1))], []),
    ([Stay(*WARD, at(1)), Stay(*YARD, at(1), at(4))], []),
    ([Stay(*WARD, at(4)), Stay(*YARD, at(1), at(4))], []),
    ([Stay(*YARD, at(1), at(4)), Stay(*WARD, None, at(3))], [TWICE]),
    ([Stay(*YARD, at(1)), Stay(*WARD, at(2))], []),  # when it ended is not written
    ([Stay(*YARD, at(1)), Stay(*WARD, at(1))], []),  # two moments to the minute
    ([Stay(*YARD), Stay(*WARD)], []),
    ([Stay(*YARD, at(1), at(4)), Stay(*WARD)], []),
    ([Stay(*YARD, at(3)), Stay(*WARD, at(1), at(2))], [LATER]),
    ([Stay(*WARD, at(1), at(2)), Stay(*YARD, at(3))], [LATER]),
    ([Stay(*YARD, at(2)), Stay(*WARD, at(1), at(2))], []),
    ([Stay(*YARD, at(3)), Stay(*WARD, at(2))], []),  # when the stay there ended is not written
    ([Stay("found", "A", at(3)), Stay(*WARD, at(1), at(2))], []),  # found afterward is no question
    ([Stay(*WARD, at(1), at(2)), Stay("found", "A", at(3))], []),
    ([Stay(*YARD, at(3)), Stay("moved", "A", at(1), at(2))], []),  # hurt after being moved
    ([Stay("vehicle", "Gray van", at(1), at(4)), Stay(*YARD, at(2), at(3))], []),
    ([Stay(*YARD, at(5)), Stay(*WARD, at(1), at(3))], [LATER]),
    ([Stay(*YARD, at(5)), Stay(*TREATED, at(1), at(3))], []),  # treated before, then hurt
    ([Stay(*YARD, at(5)), Stay(*EITHER, at(1), at(3))], []),  # recorded when both were one word
    ([Stay(*YARD, at(1), at(4)), Stay(*TREATED, at(2), at(3))], [TWICE]),
    ([Stay(*YARD, at(2), at(3)), Stay("vehicle", "Gray van", at(1), at(4))], []),
    ([Stay("died", "Eskmere  Hospital, ward 3", at(2), at(4)), Stay(*WARD, at(1), at(5))], []),
    ([Stay("died", "Tarn hospital", at(2), at(4)), Stay(*WARD, at(1), at(5))], [TWICE]),
    ([Stay("moved", name, at(1), at(3)) for name in "ABC"], [TWICE] * 3),
]


@pytest.mark.parametrize(("stays", "expected"), QUESTIONS)
def test_places_ask_where_they_do_not_go_together_and_are_silent_else(stays, expected):
    asked = place_questions(stays)
    assert len(asked) == len(expected), asked
    assert all(words in question for words, question in zip(expected, asked, strict=True))
    assert all(sum(stay.address in one for stay in stays) >= 2 for one in asked)


def test_the_rules_name_kinds_of_places_that_are_offered():
    assert {INJURY, DEATH, VEHICLE} <= {key for key, _ in Place.KINDS}
