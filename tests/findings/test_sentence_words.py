"""The parts of a finding's sentence: far ends, sides, articles, plurals, capitals, full stops."""

from __future__ import annotations

import pytest

from findings.words.sentences import (
    Facts,
    article,
    begin_small,
    far_end_words,
    is_plural,
    layers_sentence,
    midline_words,
    standard_sentence,
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


def test_a_sentence_keeps_all_that_was_said_before():
    said = standard_sentence(
        Facts(
            term="Contusions",
            place="the left thigh",
            separate_marks="12 to 15",
            far_end="The exit is on the left upper back",
            shape="Shape of an X. ",
            pattern="Loop",
        )
    )
    assert said == (
        "On the left thigh are contusions. Within the outlined area are 12 to 15 separate marks. "
        "The exit is on the left upper back. Shape: shape of an X. Pattern: loop."
    )


def test_without_place_and_position_a_sentence_begins_with_what_there_is():
    assert standard_sentence(Facts(term="Scar")) == "There is a scar."
    assert standard_sentence(Facts(term="Scar", above_heel_cm=90)) == (
        "Centered 90.0 cm above the heel is a scar."
    )


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


def test_each_layer_is_said_and_ends_once():
    said = layers_sentence(
        [
            ("skin", True, " Contusion marked X. "),
            ("muscle", True, "Hemorrhage..."),
            ("bone", False, "Cast, marked X."),
            ("fascia", False, " "),
        ]
    )
    assert said == (
        "Skin: Contusion marked X. Muscle: Hemorrhage. Bone: not examined (Cast, marked X). "
        "Fascia: not examined."
    )
