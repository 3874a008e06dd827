"""What the entries of a scene say together. No database, no clock.

Sources of the comparison of lividity with position:
    - Levy AD, Harcke HT. Essentials of Forensic Imaging, chapter 3 (excerpt seen): lividity lies
      where the body is lowest, and the areas of contact of a supine body stay pale.
    - The lowest parts in the other positions: from memory.
    - Reading a disagreement as a reason to ask whether the body was moved: common practice.

Source of what a scene usually needs:
    - National Institute of Justice, Death Investigation: A Guide for the Scene Investigator,
      technical update June 2011, NCJ 234457. Its sections are published in the abstract; the
      tasks below are paraphrased from memory.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass

# Words that people write for the sides of the body, longest first where one holds another.
SIDE_WORDS: dict[str, tuple[str, ...]] = {
    "back": ("back", "posterior", "dorsal", "dependent back", "buttocks", "nape", "calves"),
    "front": ("front", "anterior", "ventral", "face", "chest", "abdomen", "belly", "forehead"),
    "left side": ("left",),
    "right side": ("right",),
    "lower limbs": (
        "legs",
        "thighs",
        "lower legs",
        "feet",
        "foot",
        "lower limbs",
        "ankles",
        "hands",
    ),
}
# Where lividity is expected in each position, and where it makes one ask.
EXPECTED = {
    "supine": "back",
    "prone": "front",
    "left side": "left side",
    "right side": "right side",
    "sitting": "lower limbs",
    "hanging": "lower limbs",
}
OPPOSITE = {
    "back": ("front",),
    "front": ("back",),
    "left side": ("right side",),
    "right side": ("left side",),
    "lower limbs": ("back", "front"),
}
POSITION_WORDS = {
    "supine": "on the back",
    "prone": "face down",
    "left side": "on the left side",
    "right side": "on the right side",
    "sitting": "sitting",
    "hanging": "suspended",
}
SIDE_SHOWN = {
    "back": "the back",
    "front": "the front",
    "left side": "the left",
    "right side": "the right",
    "lower limbs": "the lower limbs",
}
NEVER = "This is a reason to look and ask again, never a conclusion."
_DENIED = re.compile(r"\b(no|not|none|without|spared|sparing|pale)\b")


def sides_named(words: str) -> frozenset[str]:
    """Return the sides of the body that a description of lividity names.

    A clause that denies ("none on the chest") names nothing.
    """
    clauses = re.split(r"[,;.]| but ", words.lower())
    said = [clause for clause in clauses if not _DENIED.search(clause)]
    return frozenset(
        side
        for side, names in SIDE_WORDS.items()
        if any(re.search(rf"\b{re.escape(name)}\b", clause) for name in names for clause in said)
    )


def lividity_caution(position: str, where: str, blanching: str = "") -> str:
    """Return a caution where lividity does not fit the position found, else nothing.

    Silent where the position is not stated, the words name no side, or both patterns can be.
    """
    expected = EXPECTED.get(position)
    sides = sides_named(where)
    if expected is None or not sides:
        return ""
    against = [side for side in OPPOSITE[expected] if side in sides]
    if not against:
        return ""
    # A body that lies on its side has a front and a back; limbs hang whatever the position.
    shown = " and ".join(SIDE_SHOWN[side] for side in against)
    found = POSITION_WORDS[position]
    if expected in sides and expected != "lower limbs":
        return (
            f"Lividity on {shown} as well as {SIDE_SHOWN[expected]} of a body found {found}: "
            f"two patterns can mean that it was turned while lividity could still shift. "
            f"Was the body moved before you came? {NEVER}"
        )
    if expected in sides:
        return ""
    return (
        f"Lividity on {shown} does not go with a body found {found}. "
        f"{_blanching_words(blanching)}Was the body moved before you came? {NEVER}"
    )


def _blanching_words(blanching: str) -> str:
    if blanching == "fixed":
        return "Fixed lividity stays where it was when the body is moved. "
    if blanching in {"blanches", "partly"}:
        return "Lividity that still blanches can still shift. "
    return "Press with a thumb and write whether it blanches. "


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
        cautions.append(
            "A body temperature alone says little: take the air beside the body as well."
        )
    if body and max(body) > 43:
        cautions.append(
            "A body temperature above 43 °C is rarely right: check the instrument and its unit."
        )
    return cautions


@dataclass(frozen=True)
class SceneWritten:
    """What is written of a scene, as these rules see it."""

    fields: frozenset[str]  # the fields that say something
    readings: frozenset[str] = frozenset()  # kinds of temperatures
    parts: frozenset[str] = frozenset()  # parts of the people named


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
        ("C5", "a witness or who found the body", bool(scene.parts & WITNESSES)),
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
