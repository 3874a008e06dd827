"""What the entries of a scene say together. No database, no clock.

Lividity against the position stands in `cases.rules.lividity`.

Source of what a scene usually needs:
    - National Institute of Justice, Death Investigation: A Guide for the Scene Investigator,
      technical update June 2011, NCJ 234457. Its sections are published in the abstract; the
      tasks below are paraphrased from memory.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from typing import Any

from me_office.statements import COMMON_PRACTICE, statement

HOTTEST_BODY_C = 43
_WHERE = "Scene, temperatures"
NO_AIR = statement(
    "scene.no-air",
    "A body temperature alone says little: take the air temperature beside the body as well.",
    where=_WHERE,
    source=COMMON_PRACTICE,
)
TOO_HOT = statement(
    "scene.too-hot",
    "A body temperature above 43 °C is rarely right: check the instrument and its unit.",
    where=_WHERE,
    source=COMMON_PRACTICE,
)
LIVER_READ = statement(
    "scene.liver-read",
    "The liver was probed. The hole is a wound made after death: its place has to be told to the "
    "pathologist and recorded as an artifact. The method for time since death from "
    "rectal temperature does not apply to the liver.",
    where=_WHERE,
    source=COMMON_PRACTICE,
)
PROBE = statement(
    "scene.probe",
    "A rectal reading comes after swabs where a sexual assault is possible, because it disturbs "
    "them. A liver probe makes a wound before the examination: not through an injury of the "
    "trunk, and not where the office forbids it.",
    where=_WHERE,
    source=COMMON_PRACTICE,
)


TWICE = statement(
    "scene.reading-twice",
    "The same temperature at the same minute is already recorded. If this is a second reading, "
    "enter here which instrument was used, or correct its time; if not, leave it out.",
    where=_WHERE,
    source=COMMON_PRACTICE,
)
SAME_READING = ("kind", "value_c", "read_at", "method")


def same_reading(one: Mapping[str, Any], other: Mapping[str, Any]) -> bool:
    """Tell whether a temperature says no more than another: same kind, value and minute.

    Each: kind, value_c, read_at, method. Another instrument makes it a second reading; one that
    is not named does not.
    """
    first, second = (" ".join(str(each["method"] or "").split()).lower() for each in (one, other))
    return (
        one["kind"] == other["kind"]
        and Decimal(str(one["value_c"])) == Decimal(str(other["value_c"]))
        and _minute(one["read_at"]) == _minute(other["read_at"])
        and first in {"", second}
    )


def _minute(at: datetime) -> datetime:
    return at.replace(second=0, microsecond=0)


@dataclass(frozen=True)
class PositionSeen:
    """A position of the body at another place or time; `when` is in words, empty if not known."""

    position: str
    place: str
    told_by: str
    when: str = ""


def moved_words(moved_before: str, positions: Iterable[PositionSeen]) -> str:
    """Return what is recorded of moving the body, from the scene's words and other positions.

    Another position is a fact of its own: it stands also where the scene says "not moved".
    """
    seen = []
    for one in positions:
        when = f", {one.when}" if one.when else ""
        seen.append(f"{one.position} at {one.place}{when} (told by {one.told_by})")
    if not seen:
        return moved_before
    before = moved_before.strip().rstrip(".")
    return "; ".join([*seen, f"the scene says: {before}"] if before else seen)


@dataclass(frozen=True)
class Reading:
    """One temperature as these rules see it."""

    kind: str
    value_c: float


def reading_cautions(readings: Iterable[Reading]) -> list[str]:
    """Return cautions about temperatures that do not go together. Common practice."""
    taken = list(readings)
    air = [reading.value_c for reading in taken if reading.kind == "ambient"]
    body = [reading.value_c for reading in taken if reading.kind in {"rectal", "liver"}]
    cautions = []
    if body and not air:
        cautions.append(NO_AIR.say())
    if body and max(body) > HOTTEST_BODY_C:
        cautions.append(TOO_HOT.say())
    if any(reading.kind == "liver" for reading in taken):
        cautions.append(LIVER_READ.say())
    return cautions


@dataclass(frozen=True)
class SceneWritten:
    """What is written of a scene, as these rules see it."""

    fields: frozenset[str]  # the fields that say something
    readings: frozenset[str] = frozenset()  # kinds of temperatures
    parts: frozenset[str] = frozenset()  # parts of the people named
    finder_named: bool = False  # in the report of death


@dataclass(frozen=True)
class NotWritten:
    """One task of the guide that nothing is written for."""

    task: str
    words: str


def not_written(scene: SceneWritten) -> list[NotWritten]:
    """Return the tasks of the published guide for which nothing is written yet, in its order.

    Not every scene needs every task: this reminds and never refuses.
    """
    told = scene.fields
    tasks = [
        ("B1", "who led at the scene", "agencies" in told),
        ("B2", "hazards", "hazards" in told),
        ("C2", "surroundings as found", "environment" in told),
        ("C3", "whether the body was moved", "moved_before" in told),
        (
            "C5",
            "a witness or who found the body",
            bool(scene.parts & WITNESSES) or scene.finder_named,
        ),
        ("D2", "position as found", bool(told & {"position", "position_words"})),
        ("D2", "clothing", "clothing" in told),
        ("D2", "marks on the body, or none", "body_marks" in told),
        ("D5", "lividity with its time", _timed(told, "lividity_blanching", "lividity_where")),
        ("D5", "rigor with its time", _timed(told, "rigor", "rigor_where")),
        ("D5", "temperature of the surroundings", bool(scene.readings & SURROUNDINGS)),
        ("D5", "temperature of the body", bool(scene.readings & {"rectal", "liver"})),
        ("D7", "next of kin", "next of kin" in scene.parts),
        ("F3", "when the scene was left", "left_at" in told),
    ]
    return [NotWritten(task, words) for task, words, is_written in tasks if not is_written]


WITNESSES = frozenset({"witness", "found the body"})
SURROUNDINGS = frozenset({"ambient", "surface", "water"})


def _timed(told: frozenset[str], *names: str) -> bool:
    seen_at = f"{names[0].partition('_')[0]}_seen_at"
    return seen_at in told and any(name in told for name in names)
