"""What the entries of a scene say together: temperatures, and what is not written."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from decimal import Decimal

import pytest

from cases.rules.scene import (
    LIVER_READ,
    NO_AIR,
    TOO_HOT,
    Reading,
    SceneWritten,
    not_written,
    reading_cautions,
    same_reading,
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


AIR = ("ambient", 20)


@pytest.mark.parametrize(
    ("readings", "cautions"),
    [
        ([], []),
        ([AIR], []),
        ([("surface", 50)], []),
        ([("rectal", 31)], [NO_AIR]),
        ([("liver", 31)], [NO_AIR, LIVER_READ]),
        ([("rectal", 31), ("surface", 9)], [NO_AIR]),
        ([("rectal", 43), AIR], []),
        ([("rectal", 43.1), AIR], [TOO_HOT]),
        ([("rectal", 31), ("rectal", 44), ("rectal", 32), AIR], [TOO_HOT]),
        ([("rectal", 31), ("ambient", 44)], []),
        ([("rectal", 44)], [NO_AIR, TOO_HOT]),
        ([("liver", 44), AIR], [TOO_HOT, LIVER_READ]),
    ],
)
def test_temperatures_that_do_not_go_together_are_questioned(readings, cautions):
    said = reading_cautions(Reading(kind, value) for kind, value in readings)
    assert said == [one.text for one in cautions]


# Every task, with each way of writing it. Tasks of NCJ 234457, paraphrased from memory.
TASKS = [
    ("B1", "who led at the scene", [{"agencies"}]),
    ("B2", "hazards", [{"hazards"}]),
    ("C2", "surroundings as found", [{"environment"}]),
    ("C3", "whether the body was moved", [{"moved_before"}]),
    ("C5", "a witness or who found the body", [{"+witness"}, {"+found the body"}, {"finder"}]),
    ("D2", "position as found", [{"position"}, {"position_words"}]),
    ("D2", "clothing", [{"clothing"}]),
    ("D2", "marks on the body, or none", [{"body_marks"}]),
    ("D5", "lividity with its time", [
        {"lividity_seen_at", "lividity_blanching"}, {"lividity_seen_at", "lividity_where"}]),
    ("D5", "rigor with its time", [
        {"rigor_seen_at", "rigor"}, {"rigor_seen_at", "rigor_where"}]),
    ("D5", "temperature of the surroundings", [{"°ambient"}, {"°surface"}, {"°water"}]),
    ("D5", "temperature of the body", [{"°rectal"}, {"°liver"}]),
    ("D7", "next of kin", [{"+next of kin"}]),
    ("F3", "when the scene was left", [{"left_at"}]),
]  # fmt: skip


def left(written):
    scene = SceneWritten(
        frozenset(one for one in written if one[0] not in "+°"),
        frozenset(one[1:] for one in written if one[0] == "°"),
        frozenset(one[1:] for one in written if one[0] == "+"),
        finder_named="finder" in written,  # in the report of death
    )
    return [(one.task, one.words) for one in not_written(scene)]


def test_each_task_is_named_until_it_is_written_in_any_of_its_ways():
    every = [(task, words) for task, words, _ in TASKS]
    assert left(set()) == every
    for task, words, ways in TASKS:
        for way in ways:
            assert left(way) == [one for one in every if one != (task, words)]
            if len(way) > 1:
                assert all(left({one}) == every for one in way)


AT = datetime(2026, 11, 14, 14, 20, tzinfo=UTC)
RECTAL = {"kind": "rectal", "value_c": "31.2", "read_at": AT, "method": "Probe 3"}


@pytest.mark.parametrize(
    ("other", "same"),
    [
        ({}, True),
        ({"value_c": Decimal("31.20")}, True),
        ({"read_at": AT.replace(second=59)}, True),
        ({"read_at": AT.replace(microsecond=1)}, True),
        ({"method": " probe  3"}, True),
        ({"method": ""}, True),
        ({"method": None}, True),
        ({"method": "Probe 4"}, False),
        ({"kind": "liver"}, False),
        ({"value_c": "31.3"}, False),
        ({"read_at": AT + timedelta(minutes=1)}, False),
        ({"read_at": AT - timedelta(days=1)}, False),
    ],
)
def test_a_temperature_says_no_more_than_the_same_one_of_its_minute(other, same):
    assert same_reading(RECTAL | other, RECTAL) is same


def test_a_named_instrument_says_more_than_one_that_is_not_named():
    assert not same_reading(RECTAL, RECTAL | {"method": ""})
