"""Where a surface point lies, in words: the region and its side, or the place in the midline.

A region's own words name a side, and the surfaces are cut along the midline. So a point within the
tolerance of the midline would be called left or right by chance: there the side falls away and the
place in the midline is named. The regions that lie across the midline (forehead, sternal region)
have no side in their words: outside the tolerance they get one. Limbs keep their own side.

The browser's `midline.js` says the same from the same rows of `catalogue.json` (`midline_places`).
Their limits are common practice: the vertex is the upper fifth of the head between chin and crown;
the umbilical region reaches 20 thousandths of crown-heel length (about 3.5 cm in an adult) above
and below the umbilicus; behind the hip joints the perineum is called perianal.
"""

from __future__ import annotations

from typing import Any, Final

from findings.body.catalogue import catalogue
from findings.body.regions import Side, region
from findings.body.views import Point3

# Within 3 thousandths of crown-heel length of the midline (5 mm in an adult) a mark is called
# midline; common practice.
MIDLINE_WITHIN: Final = 3.0


def side_of(x: float) -> Side:
    """The body's own side of a coordinate: left, right, or midline within 3 thousandths."""
    if abs(x) <= MIDLINE_WITHIN:
        return "midline"
    return "left" if x > 0 else "right"


def place_words(body: str, region_key: str, point: Point3) -> str:
    """The words for a point of a region: "Left cheek", "Midline of the forehead", "Gluteal cleft".

    `point` is (x, y, z) in thousandths of crown-heel length. Raises UnknownRegion.
    """
    found = region(region_key)
    side = side_of(point[0])
    row = _row(body, found.base, point)
    if side == "midline":
        if row is not None:
            words: str = row["midline"]
            return words
        return f"Midline of the {_small(found.term)}" if found.side == "midline" else found.term
    if found.side != "midline":
        return found.term
    beside = row.get("beside") if row is not None else None
    return f"{side.capitalize()} side of the {beside or _small(found.term)}"


def _row(body: str, base: str, point: Point3) -> dict[str, Any] | None:
    """The first row of this region whose limit the point reaches; the last one has no limit."""
    for row in catalogue()["midline_places"]:
        if row["base"] != base:
            continue
        if "axis" not in row or point["xyz".index(row["axis"])] >= row["from"][body]:
            found: dict[str, Any] = row
            return found
    return None


def _small(term: str) -> str:
    return term[:1].lower() + term[1:]
