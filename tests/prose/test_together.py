"""Several findings of a kind in one place: one sentence that is true of each of them."""

from __future__ import annotations

from dataclasses import replace

import pytest

from findings.prose.observed import Facts
from findings.prose.together import alike_key, told_together
from findings.words.sentences import several

SCRATCH = Facts(
    term="Abrasion", place="Left forearm, back", above_heel_cm=98.3, from_midline_cm=30.2,
    midline="posterior", length_mm=12, shape="linear", seen_as="parallel and oblique, red",
)  # fmt: skip
FOUR = [
    replace(SCRATCH, above_heel_cm=98.3 + n, length_mm=length)
    for n, length in enumerate((12, 31, 20, 35))
]


def test_four_scratches_are_told_with_their_range():
    assert len({alike_key(one) for one in FOUR}) == 1 and alike_key(SCRATCH) is not None
    assert told_together(FOUR) == (
        "On the left forearm, back, 98.3 to 101.3 cm above the heel and 30.2 cm left of the "
        "posterior midline, are four linear abrasions, 1.2 to 3.5 cm long. They are parallel and "
        "oblique and red."
    )
    tapped = [replace(one, tapped_cm=178.0) for one in FOUR]
    assert "about 98 to 101 cm above the heel and about 30 cm left" in told_together(tapped)


def test_areas_are_told_from_the_smallest_to_the_largest():
    sizes = ((50, 35), (30, 20), (40, 30))
    found = [
        Facts(term="Contusion", place="Right thigh", length_mm=a, width_mm=b, seen_as="blue-purple")
        for a, b in sizes
    ]
    assert told_together(found) == (
        "On the right thigh are three blue-purple contusions, from 3.0 × 2.0 cm to 5.0 × 3.5 cm."
    )
    assert ", each 3.0 × 2.0 cm." in told_together([found[1], found[1]])
    plain = [replace(one, length_mm=20, width_mm=None) for one in found]
    assert ", each 2.0 cm long." in told_together(plain)
    unmeasured = [replace(one, length_mm=None, width_mm=None) for one in found]
    assert told_together(unmeasured) == "On the right thigh are three blue-purple contusions."


@pytest.mark.parametrize(
    ("name", "value"),
    [
        ("term", "Contusion"), ("place", "Right forearm, back"), ("place", ""), ("seen_as", "blue"),
        ("shape", "curved"), ("margins", "sharp"), ("colour", "blue"), ("pattern", "tram-line"),
        ("vital_reaction", "red rim"), ("midline", "anterior"), ("tapped_cm", 178.0),
        ("above_heel_cm", None), ("from_midline_cm", None), ("from_midline_cm", -30.2),
        ("from_midline_cm", 0.0), ("length_mm", None), ("width_mm", 3.0), ("depth_mm", 2.0),
        ("separate_marks", "at least 3"), ("far_end", "The exit is on the back"), ("places", 2),
    ],
)  # fmt: skip
def test_what_differs_in_anything_else_is_told_apart(name, value):
    """One sentence would be untrue of one of them."""
    assert alike_key(replace(SCRATCH, **{name: value})) != alike_key(SCRATCH)


@pytest.mark.parametrize(
    ("name", "value"),
    [
        ("term", "Fractures"), ("term", "Lividity"), ("place", " "), ("depth_mm", 2.0),
        ("separate_marks", "at least 3"), ("far_end", "The exit is on the back"), ("places", 2),
    ],
)  # fmt: skip
def test_what_has_no_number_or_more_to_say_is_never_told_together(name, value):
    assert alike_key(replace(SCRATCH, **{name: value})) is None


@pytest.mark.parametrize(
    ("term", "said"),
    [
        ("contusion, fingertip-type", "contusions, fingertip-type"),
        ("gunshot wound of entrance", "gunshot wounds of entrance"),
        ("drying artifact (parchmenting)", "drying artifacts (parchmenting)"),
        ("crush injury", "crush injuries"), ("x-ray", "x-rays"), ("abscess", "abscesses"),
        ("scratch", "scratches"), ("rash", "rashes"),
    ],
)  # fmt: skip
def test_a_term_for_more_than_one(term, said):
    assert several(term) == said


def test_up_to_ten_are_counted_in_words():
    told = [told_together([SCRATCH] * n).split(" are ")[1].split()[0] for n in (2, 10, 11)]
    assert told == ["two", "ten", "11"]
