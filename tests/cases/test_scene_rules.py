"""What the entries of a scene say together: temperatures, and what is not written."""

from __future__ import annotations

from cases.scene_rules import (
    Reading,
    SceneWritten,
    not_written,
    reading_cautions,
)


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
