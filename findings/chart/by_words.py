"""A mark that is placed by words: region, distances, kind and size, as the person says them.

What comes out is a mark as the chart draws it, in the view that shows the place best. No database,
no clock.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from findings.body.by_words import (
    Asked,
    NotOnRegion,
    Spot,
    WrongSide,
    on_page,
    spot_of,
)
from findings.body.picking import pick
from findings.body.position import Midline
from findings.body.regions import REGIONS, Region, region, search_regions
from findings.body.surface_points import extent
from findings.body.views import CROWN_HEEL, view
from findings.chart.placing import PagePoint, picked_by_mark
from findings.rules import MarkKind
from findings.words.sentences import begin_small

KINDS = (MarkKind.POINT, MarkKind.LINE, MarkKind.AREA)
# Corners of an oval; the drawing rounds them.
_CORNERS = 16
# A mark that reaches beyond the drawn body is drawn smaller, down to a quarter.
_SHORTER = tuple(share / 20 for share in range(20, 4, -1))
_MOST_NAMED = 6


@dataclass(frozen=True, slots=True)
class Said:
    """What was said of a mark. Lengths in cm; `from_midline_cm` is positive to the body's left."""

    region: str
    kind: str = MarkKind.POINT
    length_cm: float | None = None
    width_cm: float | None = None
    way: str = ""
    above_heel_cm: float | None = None
    from_midline_cm: float | None = None
    midline: Midline | str = ""


@dataclass(frozen=True, slots=True)
class DrawnByWords:
    """The mark as the chart draws it; `note` says what was drawn otherwise than said."""

    view: str
    kind: str
    points: list[list[float]]
    note: str = ""


class PlaceRefused(ValueError):
    """What was said can't be placed: beside which field that is told, and is a spot near it."""

    def __init__(self, field: str, message: str, *, has_nearest: bool = False) -> None:
        super().__init__(message)
        self.field = field
        self.message = message
        self.has_nearest = has_nearest


def region_named(words: str) -> Region:
    """The one region that the words name. Raises PlaceRefused, which tells the regions that fit."""
    wanted = " ".join(words.split()).casefold()
    for one in REGIONS.values():
        if one.term.casefold() == wanted:
            return one
    found = search_regions(wanted, limit=_MOST_NAMED + 1)
    if len(found) == 1:
        return found[0]
    if not found:
        raise PlaceRefused(
            "place_region", f"No region is called “{words}”. Choose one from the list."
        )
    named = ", ".join(begin_small(one.term) for one in found[:_MOST_NAMED])
    if len(found) > _MOST_NAMED:
        raise PlaceRefused("place_region", f"Many regions fit, among them {named}. Choose one.")
    sided = {one.base for one in found}
    first = "Say which side" if len(sided) == 1 else "Several regions fit"
    raise PlaceRefused("place_region", f"{first}: {named}.")


def mark_by_words(
    body: str,
    crown_heel_cm: float | None,
    said: Said,
    *,
    shown: str = "",
    nearest: bool = False,
    kept: bool = True,
) -> DrawnByWords:
    """The mark that the words mean, preferably in the view that is `shown`.

    `kept` says that the distances stay with the finding as measured. Where they don't, they are
    derived from the mark again, so that both have to be said. With `nearest`, distances beyond the
    region of the drawing take the nearest spot of it, if they are kept. Raises PlaceRefused.
    """
    known = region(said.region)
    _check_what_is_said(known, crown_heel_cm, said)
    if crown_heel_cm is not None:
        _check_distances(said, kept)
    way = _way(said)
    asked = Asked(
        known.key,
        _in_units(said.above_heel_cm, crown_heel_cm),
        _in_units(said.from_midline_cm, crown_heel_cm),
        "posterior" if said.midline == "posterior" else "anterior" if said.midline else "",
    )
    note = ""
    try:
        spot = spot_of(body, asked, shown=shown, way=way)
    except WrongSide as wrong:
        raise PlaceRefused("midline_where", f"{wrong} Check the side.") from wrong
    except NotOnRegion as off:
        if off.nearest is None and way:
            _refuse_way(body, asked, off)
        if not nearest or not kept or off.nearest is None:
            raise _off_the_region(body, crown_heel_cm, asked, off, kept) from off
        spot = off.nearest
        note = "Placed at the nearest spot of the region; the distances stay as measured."
    return _drawn(body, crown_heel_cm, said, spot, way, note)


def _check_what_is_said(known: Region, crown_heel_cm: float | None, said: Said) -> None:
    if crown_heel_cm is None:
        if said.above_heel_cm is not None or said.from_midline_cm:
            raise PlaceRefused(
                "above_heel_cm",
                "Distances can be placed once the crown-heel length is recorded.",
            )
        if said.kind != MarkKind.POINT:
            raise PlaceRefused(
                "place_kind", "Without the crown-heel length only a point can be placed by words."
            )
    if known.side == "midline" and said.from_midline_cm is None:
        raise PlaceRefused(
            "midline_where",
            f"{known.term} lies across the midline: say how far to the right or to the left, or "
            "that it is in the midline.",
        )
    if said.kind != MarkKind.POINT and not said.length_cm:
        raise PlaceRefused("place_length_cm", "Give the length of the mark.")
    if said.kind == MarkKind.LINE and not said.way:
        raise PlaceRefused("place_way", "Say which way the line runs.")


def _check_distances(said: Said, kept: bool) -> None:
    """Refuse a mark from which the report would take a distance that nobody measured."""
    unsaid = "without it the report would state a distance that nobody measured."
    if said.above_heel_cm is None:
        raise PlaceRefused("above_heel_cm", f"Give the height above the heel: {unsaid}")
    if said.from_midline_cm is None and not kept:
        raise PlaceRefused("midline_where", f"Give the way from the midline: {unsaid}")


def _way(said: Said) -> str:
    if said.kind == MarkKind.POINT:
        return ""
    return said.way or "head to foot"


def _in_units(length_cm: float | None, crown_heel_cm: float | None) -> float | None:
    if length_cm is None:
        return None
    # In the midline is a place without any length.
    return length_cm * CROWN_HEEL / crown_heel_cm if crown_heel_cm else 0.0


def _refuse_way(body: str, asked: Asked, off: NotOnRegion) -> None:
    """Where the place itself can be drawn, it is the direction that can't. Raises PlaceRefused."""
    if _lies_there(body, asked):
        raise _other_way() from off


def _other_way() -> PlaceRefused:
    return PlaceRefused(
        "place_way", "Here the drawing does not show this direction. Choose another."
    )


def _lies_there(body: str, asked: Asked) -> bool:
    try:
        spot_of(body, asked)
    except NotOnRegion:
        return False
    return True


def _off_the_region(
    body: str, crown_heel_cm: float | None, asked: Asked, off: NotOnRegion, kept: bool
) -> PlaceRefused:
    known = region(asked.region)
    if asked.midline and _lies_there(body, replace(asked, midline="")):
        other = "anterior" if asked.midline == "posterior" else "posterior"
        name = begin_small(known.term)
        return PlaceRefused(
            "midline_where", f"Here the {name} is measured from the {other} midline."
        )
    field = "above_heel_cm" if asked.above_heel is not None else "midline_where"
    if crown_heel_cm is None or (asked.above_heel is None and asked.across is None):
        return PlaceRefused(field, "This drawing does not show the place.")
    low, high, near, far = (
        f"{value * crown_heel_cm / CROWN_HEEL:.0f}" for value in extent(body, known.key)
    )
    side = "from" if known.side == "midline" else f"{known.side} of"
    words = [
        f"As drawn, the {begin_small(known.term)} lies {low} to {high} cm above the heel and "
        f"{near} to {far} cm {side} the midline."
    ]
    there = _what_lies_there(body, asked)
    if there and there != known.term:
        words.append(f"What was said lies on the drawing's {begin_small(there)}.")
    return PlaceRefused(field, " ".join(words), has_nearest=kept and off.nearest is not None)


def _what_lies_there(body: str, asked: Asked) -> str:
    if asked.above_heel is None or asked.across is None:
        return ""
    looking = "posterior" if asked.midline == "posterior" else "anterior"
    u = -asked.across if looking == "posterior" else asked.across
    found = pick(body, looking, u, CROWN_HEEL - asked.above_heel)
    return found.place if found else ""


def _drawn(
    body: str, crown_heel_cm: float | None, said: Said, spot: Spot, way: str, note: str
) -> DrawnByWords:
    at = (spot.u, spot.v)
    if said.kind == MarkKind.POINT or crown_heel_cm is None or said.length_cm is None:
        return DrawnByWords(spot.view, MarkKind.POINT, [list(at)], note)
    along = on_page(view(spot.view), way)
    if along is None:
        raise _other_way()
    half = said.length_cm * CROWN_HEEL / crown_heel_cm / 2
    across = (said.width_cm or said.length_cm) * CROWN_HEEL / crown_heel_cm / 2
    for share in _SHORTER:
        points = _outline(said.kind, at, along, half * share, across * share)
        if _lies_on_body(body, spot, said.kind, points):
            break
    else:
        raise PlaceRefused("place_length_cm", "Here the drawing does not show a mark of this size.")
    if share < 1:
        short = "The skin turns away from the drawing, so the mark is drawn smaller than it is."
        note = f"{note} {short}".strip()
    return DrawnByWords(spot.view, said.kind, [list(point) for point in points], note)


def _outline(
    kind: str, at: PagePoint, along: PagePoint, half: float, across: float
) -> list[PagePoint]:
    """The ends of a line, or the corners of an oval, about a page point."""
    (u, v), (du, dv) = at, along
    if kind == MarkKind.LINE:
        return [_tenths(u + du * turn * half, v + dv * turn * half) for turn in (-1, 1)]
    turns = [2 * math.pi * step / _CORNERS for step in range(_CORNERS)]
    return [
        _tenths(
            u + du * half * math.cos(turn) - dv * across * math.sin(turn),
            v + dv * half * math.cos(turn) + du * across * math.sin(turn),
        )
        for turn in turns
    ]


def _tenths(u: float, v: float) -> PagePoint:
    return round(u, 1), round(v, 1)


def _lies_on_body(body: str, spot: Spot, kind: str, points: list[PagePoint]) -> bool:
    """Whether every corner is on the drawn body, and the middle still on the region."""
    if any(pick(body, spot.view, u, v) is None for u, v in points):
        return False
    middle = picked_by_mark(body, spot.view, kind, points)
    return middle is not None and middle.region == spot.found.region
