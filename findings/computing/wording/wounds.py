"""Wounds, burns and photographs in words. Pure."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from findings.calculations.photo_assumptions import WITHHELD
from findings.computing.wording.summaries import (
    Answered,
    Summary,
    Table,
    number,
    plain,
    whole_degrees,
)


def path(answered: Answered) -> Summary:
    """Direction, length and angles of a wound path."""
    result = answered.result
    if result.get("reason"):
        return Summary()
    words = result.get("direction") or []
    length = f"{plain(result.get('straight_length_cm'))} cm"
    if number(result.get("u_length_cm")) is not None:
        length += f" ± {plain(result['u_length_cm'])} cm"
    angles = (
        ("To the horizontal plane (elevation)", "elevation_from_horizontal_deg", "u_elevation_deg"),
        (
            "To the sagittal plane, seen from above",
            "azimuth_from_sagittal_deg",
            "u_azimuth_deg",
        ),
        ("To the horizontal, seen from the side", "side_view_deg", "u_side_view_deg"),
        ("To the horizontal, seen from the front", "front_view_deg", "u_front_view_deg"),
    )
    lines = [("Straight length", length)]
    lines += [
        (name, whole_degrees(result.get(key), result.get(error))) for name, key, error in angles
    ]
    lines.append(("± is", str(result.get("uncertainty") or "")))
    headline = ", ".join(words) or "No direction in words: every part is under 0.5 cm"
    return Summary(headline=headline[:1].upper() + headline[1:], lines=tuple(lines))


def impacts(answered: Answered) -> Summary:
    """At least how many impacts."""
    result = answered.result
    wording = str(result.get("wording") or "")
    count = result.get("at_least")
    unit = "" if not count else (" impact" if count == 1 else " impacts")
    rows = tuple(
        (str(place), ", ".join(str(mark) for mark in group))
        for place, group in enumerate(result.get("groups") or [], start=1)
    )
    return Summary(
        headline=wording[:1].upper() + wording[1:] + unit,
        interval="A minimum: there may have been more." if count else "",
        tables=(Table("Counted as", ("Impact", "Marks"), rows),) if rows else (),
    )


def burn(answered: Answered) -> Summary:
    """Burned share of the body surface."""
    result = answered.result
    if result.get("reason"):
        return Summary()
    lines = [("Chart", str(result.get("chart")))]
    if result.get("age_column"):
        lines.append(("Age column", f"{result['age_column']} (by band, not interpolated)"))
    return Summary(
        headline=f"About {plain(result.get('tbsa_percent'))} % of the body surface",
        lines=tuple(lines),
    )


def photograph(answered: Answered) -> Summary:
    """A length, area, angle or shortening."""
    result = answered.result
    if result.get("reason"):
        return Summary()
    if number(result.get("apparent_shortening_percent")) is not None:
        percent = plain(result["apparent_shortening_percent"])
        return Summary(headline=f"Looks {percent} % shorter along the tilt")
    shown = (
        ("Length", "length_mm", "u_length_mm", "mm"),
        ("Area", "area_mm2", "u_area_mm2", "mm²"),
        ("Angle at the second point", "angle_at_second_deg", "u_angle_at_second_deg", "°"),
    )
    by_line = _by_straight_scale(result)
    lines = [
        (name, f"{plain(result[key])} {unit}{'' if by_line else _error(result.get(error), unit)}")
        for name, key, error, unit in shown
        if number(result.get(key)) is not None
    ]
    straight = number(result.get("length_from_first_reference_side_only_mm"))
    if straight is not None:
        off = plain(result.get("error_of_that_percent"))
        lines.append(("A straight scale alone would give", f"{straight:.1f} mm, {off} % off"))
    head, *rest = lines or [("", "nothing was measured")]
    return Summary(
        headline=f"{head[0]} {head[1]}".strip(),
        interval=_limits(result) if by_line else "",
        lines=tuple(rest),
    )


def _by_straight_scale(result: Mapping[str, object]) -> bool:
    """Whether a straight scale gave the size: it alone has a scale, or an area without angle."""
    outline = "area_mm2" in result and "angle_at_second_deg" not in result
    return number(result.get("px_per_mm")) is not None or (outline and "length_mm" not in result)


def _limits(result: Mapping[str, Any]) -> str:
    """The limits of a size by straight scale; before 2.0 there were none that held."""
    found = result.get("interval") or {}
    meaning = str(found.get("meaning", ""))
    if not meaning.startswith("limits"):
        return f"{WITHHELD[:1].upper()}{WITHHELD[1:]}."
    unit = "mm²" if "area_mm2" in result else "mm"
    return f"{plain(found['low'])} to {plain(found['high'])} {unit}: {meaning}."


def _error(value: object, unit: str) -> str:
    found = number(value)
    return "" if found is None else f" ± {max(found, 0.1):.1f} {unit} (1 SD)"
