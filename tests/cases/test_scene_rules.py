"""Lividity against the position found.

Expected sides: Levy AD, Harcke HT, Essentials of Forensic Imaging, chapter 3 (excerpt seen) for
the supine body; the other positions from memory. The reading of a disagreement: common practice.
"""

from __future__ import annotations

import pytest

from cases.scene_rules import (
    NEVER,
    Reading,
    lividity_caution,
    reading_cautions,
    sides_named,
)


@pytest.mark.parametrize(
    ("position", "where"),
    [
        ("supine", "back, spares shoulder blades"),
        ("supine", "posterior, none on the chest"),
        ("prone", "face and chest"),
        ("left side", "left side of trunk and limbs"),
        ("hanging", "lower legs, feet and hands"),
        ("sitting", "lower legs, buttocks"),
        ("supine", "faint"),
        ("", "front"),
        ("other", "front"),
        ("supine", ""),
    ],
)
def test_lividity_that_fits_says_nothing(position, where):
    assert lividity_caution(position, where) == ""


@pytest.mark.parametrize(
    ("position", "where"),
    [
        ("supine", "face, chest and abdomen"),
        ("prone", "back and buttocks"),
        ("left side", "right side of trunk"),
        ("right side", "left arm"),
        ("hanging", "back"),
    ],
)
def test_lividity_on_the_other_side_asks_whether_the_body_was_moved(position, where):
    caution = lividity_caution(position, where, "fixed")
    assert "does not go with" in caution
    assert "moved" in caution
    assert caution.endswith(NEVER)
    assert "never a conclusion" in caution


def test_two_patterns_are_said_to_be_two():
    assert "two patterns" in lividity_caution("supine", "back and front of trunk")


def test_what_is_denied_is_not_named():
    assert sides_named("back of trunk, none on the face") == {"back"}


def test_blanching_changes_the_sentence():
    fixed = lividity_caution("prone", "back", "fixed")
    shifting = lividity_caution("prone", "back", "blanches")
    assert "Fixed lividity stays" in fixed
    assert "can still shift" in shifting
    assert "thumb" in lividity_caution("prone", "back", "")


def test_a_body_temperature_without_the_air_is_questioned():
    assert reading_cautions([Reading("rectal", 31.2)])
    assert reading_cautions([Reading("rectal", 31.2), Reading("ambient", 9)]) == []
    assert "43" in reading_cautions([Reading("liver", 88), Reading("ambient", 20)])[0]
