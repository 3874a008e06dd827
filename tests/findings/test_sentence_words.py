"""The parts of a finding's sentence: far ends, sides, articles, plurals, capitals, full stops."""

from __future__ import annotations

import pytest

from findings.words.sentences import (
    article,
    begin_small,
    far_end_words,
    is_plural,
    midline_words,
)


@pytest.mark.parametrize(
    ("end", "place", "height", "tapped", "said"),
    [
        ("exit", "Left upper back", 121.1, None,
         "The exit is on the left upper back, 121.1 cm above the heel"),
        ("exit", "Left upper back", 121.1, 170,
         "The exit is on the left upper back, about 121 cm above the heel"),
        ("exit", "Left upper back", None, None, "The exit is on the left upper back"),
        ("exit", " Midline of the back", None, 170, "The exit is in the midline of the back"),
        ("exit", "Gluteal cleft", 80, None,
         "The exit is in the gluteal cleft, 80.0 cm above the heel"),
        ("recovered", "Left upper back ", 121.1, None,
         "The object was recovered at the left upper back, 121.1 cm above the heel"),
        ("recovered", "Midline of the back", None, None,
         "The object was recovered at the midline of the back"),
        ("exit", " ", 121.1, None, ""),
        ("recovered", "", None, None, ""),
    ],
)  # fmt: skip
def test_where_the_second_place_of_a_pair_lies(end, place, height, tapped, said):
    assert far_end_words(end, place, height, tapped) == said


@pytest.mark.parametrize(
    ("distance", "said"),
    [
        # Positive is to the body's left.
        (0.4, "0.4 cm left of the anterior midline"),
        (14.2, "14.2 cm left of the anterior midline"),
        (-0.4, "0.4 cm right of the anterior midline"),
        (0, "in the anterior midline"),
    ],
)
def test_a_distance_from_the_midline_has_a_side(distance, said):
    assert midline_words(distance, "anterior") == said


@pytest.mark.parametrize(
    ("words", "said"),
    [
        *((f"{first}bcd wound", "an") for first in "aeiou"),
        *((f"{first}bcd wound", "a") for first in "bchlrstwx"),
        ("Xiphoid", "a"),
        ("8.0 cm scar", "an"), ("11.0 cm scar", "an"), ("18.2 cm scar", "an"), ("80 cm", "an"),
        ("1.0 cm scar", "a"), ("9.0 cm scar", "a"), ("12.0 cm scar", "a"), ("110 cm", "a"),
    ],
)  # fmt: skip
def test_an_article_is_as_the_words_are_read_aloud(words, said):
    assert article(words) == said


@pytest.mark.parametrize(
    ("term", "plural"),
    [
        ("Fractures", True), ("Fractures, comminuted", True), ("Fracture, old", False),
        ("Fractures of the hyoid", True), ("Fracture of the ribs", False), ("Petechiae", True),
        ("Abscess", False), ("Cyanosis", False), ("Thrombus", False), ("Scar", False),
    ],
)  # fmt: skip
def test_what_names_several_things(term, plural):
    assert is_plural(term) is plural


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ("Purple", "purple"), ("EMS pad", "EMS pad"), ("T-shaped", "T-shaped"),
        ("Tardieu spots", "Tardieu spots"), ("Wischnewski spots", "Wischnewski spots"), ("", ""),
        ("A fall against a rung", "a fall against a rung"), ("A1 heart", "A1 heart"),
    ],
)  # fmt: skip
def test_abbreviations_and_names_keep_their_capitals(words, said):
    assert begin_small(words) == said
