"""Lividity against the position found.

Expected sides: Levy AD, Harcke HT, Essentials of Forensic Imaging, chapter 3 (excerpt seen) for
the supine body; the other positions from memory. The reading of a disagreement: common practice.
"""

from __future__ import annotations

import pytest

from cases.scene_rules import (
    NEVER,
    Reading,
    SceneWritten,
    lividity_caution,
    not_written,
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


def test_what_a_guide_asks_for_and_nothing_is_written_of_is_named():
    """Tasks of NCJ 234457 (National Institute of Justice, June 2011), paraphrased from memory."""
    nothing = {(one.task, one.words) for one in not_written(SceneWritten(frozenset()))}
    assert {task for task, _ in nothing} == {"B1", "B2", "C2", "C3", "C5", "D2", "D5", "D7", "F3"}
    assert ("D5", "rigor with its time") in nothing


def test_what_is_written_is_not_named():
    told = {
        "agencies", "hazards", "environment", "moved_before", "position", "clothing", "body_marks",
        "lividity_where", "lividity_seen_at", "rigor", "rigor_seen_at", "left_at",
    }  # fmt: skip
    whole = SceneWritten(
        frozenset(told),
        frozenset({"ambient", "rectal"}),
        frozenset({"found the body", "next of kin"}),
    )
    assert not_written(whole) == []
    without_time = SceneWritten(frozenset(told - {"rigor_seen_at"}), whole.readings, whole.parts)
    assert [one.words for one in not_written(without_time)] == ["rigor with its time"]
