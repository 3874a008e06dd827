"""What may be said of a decedent: ages at each limit, and every refusal with its sentence."""

from __future__ import annotations

import pytest

from cases.rules.decedent import age_words, changed_words, wrong_in_origin, wrong_in_race

DAY = 1 / 365.25


@pytest.mark.parametrize(
    ("years", "words"),
    [
        (DAY / 24, "1 hour"),
        (DAY * 23 / 24, "23 hours"),
        (DAY, "1 day"),
        (DAY * 1.01, "1 day"),
        (DAY * 59, "59 days"),
        (DAY * 60, "2 months"),
        (1, "12 months"),
        (1.99, "24 months"),
        (2, "2 years"),
        (67.9, "67 years"),
    ],
)
def test_an_age_is_said_in_the_unit_people_use(years, words):
    assert age_words(years) == words


@pytest.mark.parametrize(
    ("read", "words"), [("1 months", "1 month"), ("30 minutes", "30 minutes"), ("6 days", "6 days")]
)
def test_an_age_that_was_read_is_said_as_it_was_read(read, words):
    assert age_words(0.5, read) == words


@pytest.mark.parametrize(
    ("races", "words", "wrong"),
    [
        (["unknown"], "", {}),
        (["white", "black"], "", {}),
        (["unknown", "white"], "", {"race": "“Unknown” cannot be combined with other entries."}),
        (["white", "white"], "", {"race": "Each may be chosen once."}),
        (
            ["white"], "Elmish",
            {"race_words": "Choose the entry that these words belong to."},
        ),
        *(
            ([race], "Elmish", {})
            for race in ("american indian", "other asian", "other pacific islander", "other")
        ),
        (["white", "other"], "Elmish", {}),
    ],
)  # fmt: skip
def test_what_cannot_be_said_of_race_is_refused(races, words, wrong):
    assert wrong_in_race(races, words) == wrong


def test_words_of_an_origin_belong_to_another_one_only():
    only = {"hispanic_origin_other": "Only for another Hispanic origin."}
    assert wrong_in_origin("mexican", "Elmish") == only
    assert wrong_in_origin("other", "Elmish") == wrong_in_origin("mexican", "") == {}


def test_texts_of_a_changed_body_are_read_and_empty_ones_are_not():
    none: list = [None, ""]
    assert changed_words(*none, "Bloated and charred", "CHARRED") == ["bloated", "charred"]
    assert changed_words(*none) == []
