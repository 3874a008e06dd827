"""What is said aloud of a mark: "Point, right inguinal region, about 90 cm above the heel."

The browser's `chart/spoken.js` says the same while a mark is drawn. No database, no clock.
"""

from __future__ import annotations

from findings.chart.placing import Placed
from findings.rules import MarkKind, PathEnd
from findings.words.sentences import begin_small, height_words, midline_words

KIND_WORDS = {
    MarkKind.POINT: "Point",
    MarkKind.LINE: "Line",
    MarkKind.AREA: "Area",
    MarkKind.PATTERN: "Patterned mark",
}
ON_SCHEMATIC = "on a schematic drawing: measure the position by hand"


def kind_word(kind: str, end: str = "") -> str:
    """What a mark is: "Point", "Entrance", "Far end"."""
    if kind == MarkKind.PAIRED:
        return "Entrance" if end == PathEnd.ENTRANCE else "Far end"
    return KIND_WORDS[MarkKind(kind)]


def place_parts(placed: Placed, crown_heel_cm: float | None) -> list[str]:
    """Where a mark lies, part by part: region with its side, height, way from the midline.

    A place that is named by the midline says it once.
    """
    if placed.surface_point is None:
        return [placed.place, ON_SCHEMATIC]
    said = [placed.place]
    if placed.above_heel_cm is not None:
        said.append(height_words(placed.above_heel_cm, crown_heel_cm))
    named = placed.from_midline_cm == 0 and placed.place.startswith("Midline of")
    if placed.from_midline_cm is not None and placed.midline and not named:
        said.append(midline_words(placed.from_midline_cm, placed.midline, crown_heel_cm))
    return said


def mark_sentence(kind: str, end: str, placed: Placed, crown_heel_cm: float | None) -> str:
    """The mark in one sentence, its parts apart: "Point, left cheek, about 157 cm above ..."."""
    place, *rest = place_parts(placed, crown_heel_cm)
    return f"{', '.join([kind_word(kind, end), begin_small(place), *rest])}."
