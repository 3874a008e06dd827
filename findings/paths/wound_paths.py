"""The direction of a wound path, from what was measured and what follows from the findings.

The geometry and its sources stand in `findings.calculations.wound_path`. The words are those of the
trade, from the decedent's own body; nothing is said about posture. No database, no clock.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from findings.calculations.result import Plain
from findings.calculations.wound_path import METHOD
from findings.rules import DepthWay, Terminus
from findings.words.sentences import begin_small

Source = Literal["measured", "derived", ""]
TAPPED = "The ends were marked on the chart, not all of them measured: angles are approximate."
LIMITS = (
    "This is the direction through the body as it lies in the anatomical position. It says nothing "
    "about the posture of the person or the place of anyone else."
)


@dataclass(frozen=True)
class Coordinate:
    """A length in cm and where it comes from; `value` None and `source` empty when unknown."""

    value: float | None
    source: Source = ""

    @property
    def size(self) -> float | None:
        """The length without its sign."""
        return None if self.value is None else abs(self.value)


@dataclass(frozen=True)
class PathPoints:
    """Both ends of a path: heights above the heel, distances from the midline (positive left).

    `depth` is how far the end lies behind (front to back) or in front of the entrance.
    """

    entrance_height: Coordinate
    entrance_left: Coordinate
    end_height: Coordinate
    end_left: Coordinate
    depth: float | None
    depth_way: str


@dataclass(frozen=True)
class Direction:
    """The direction of a path; angles in whole degrees, None where they have no meaning."""

    words: tuple[str, ...]
    length_cm: float
    side_view_deg: int | None
    front_view_deg: int | None
    from_above_deg: int | None
    warnings: tuple[str, ...]


def rests_on_taps(points: PathPoints) -> bool:
    """Tell whether an end of the path follows from a mark on the chart and was not measured."""
    ends = (points.entrance_height, points.entrance_left, points.end_height, points.end_left)
    return any(one.source == "derived" for one in ends)


def missing_for_direction(points: PathPoints) -> list[str]:
    """What still has to be measured before the direction can be computed."""
    needed = (
        ("the height of the entrance", points.entrance_height.value),
        ("the entrance's distance from the midline", points.entrance_left.value),
        ("the height of the end", points.end_height.value),
        ("the end's distance from the midline", points.end_left.value),
        ("the depth", points.depth),
    )
    return [words for words, value in needed if value is None]


def direction_of(points: PathPoints, *, crown_heel_cm: float | None = None) -> Direction | None:
    """The direction in three planes; None while something is missing or there is no direction."""
    if missing_for_direction(points):
        return None
    sign = -1.0 if points.depth_way == DepthWay.BACKWARD else 1.0
    given: dict[str, Plain] = {
        "entrance": _point(points.entrance_left, 0.0, points.entrance_height),
        "terminus": _point(points.end_left, sign * (points.depth or 0.0), points.end_height),
    }
    if crown_heel_cm is not None:
        given["body_length_cm"] = crown_heel_cm
    result = METHOD.run(given)
    if result.is_refused:
        return None
    fields = result.outcome.fields
    words = fields["direction"]
    return Direction(
        words=tuple(str(word) for word in words) if isinstance(words, list) else (),
        length_cm=float(str(fields["straight_length_cm"])),
        side_view_deg=_degrees(fields["side_view_deg"], fields["u_side_view_deg"]),
        front_view_deg=_degrees(fields["front_view_deg"], fields["u_front_view_deg"]),
        from_above_deg=_degrees(fields["azimuth_from_sagittal_deg"], fields["u_azimuth_deg"]),
        warnings=result.outcome.warnings,
    )


def _point(left: Coordinate, front: float, height: Coordinate) -> dict[str, Plain]:
    return {"left_cm": left.value, "front_cm": front, "above_heel_cm": height.value}


def _degrees(angle: Plain, uncertainty: Plain) -> int | None:
    """A whole degree; none where the path is too short in that plane for its measuring error."""
    if angle is None or uncertainty is None:
        return None
    return round(float(str(angle)))


def joined(words: Sequence[str]) -> str:
    """Words as a list is read: a, b and c."""
    if len(words) < 2:
        return "".join(words)
    return f"{', '.join(words[:-1])} and {words[-1]}"


def _in_order(structures: Sequence[str]) -> str:
    """Structures as they are read: a, b and c; with commas of their own: a; b, lower; and c."""
    if any("," in one for one in structures) and len(structures) > 1:
        return f"{'; '.join(structures[:-1])}; and {structures[-1]}"
    return joined(structures)


# From the midline plane; above it a path runs more across the body than through it.
HALFWAY_DEG = 45


def direction_words(direction: Direction) -> str:
    """The direction in the trade's words, with its angles where they can be pictured.

    Up or down is told in the plane in which the path mostly runs: seen from along the path, a few
    centimeters look like a steep angle. The page and the API have the angles of all planes.
    """
    if not direction.words:
        return "The ends lie too close together for a direction in words."
    said = f"The direction is {joined(direction.words)}"
    vertical = next((word for word in direction.words if word in ("upward", "downward")), "")
    sideways = next((word for word in direction.words if " to " in word and "back" not in word), "")
    planes = []
    from_above = direction.from_above_deg
    runs_across = from_above is not None and from_above > HALFWAY_DEG
    seen = "front" if runs_across else "side"
    angle = direction.front_view_deg if runs_across else direction.side_view_deg
    if vertical and angle is not None:
        planes.append(f"{angle}° {vertical} seen from the {seen}")
    if sideways and from_above is not None:
        planes.append(f"{from_above}° to the {sideways.rpartition(' ')[2]} seen from above")
    return f"{said}: {' and '.join(planes)}." if planes else f"{said}."


def path_words(
    structures: Sequence[str],
    ends_as: str,
    end_words: str,
    exit_number: int | None,
    direction: Direction | None,
    *,
    from_taps: bool = False,
) -> str:
    """A wound path as the report says it: through what, where it ends, in which direction.

    `from_taps` says that the direction rests on marks on the chart.
    """
    through = _in_order([begin_small(one).removeprefix("the ") for one in structures])
    said = [f"The path goes through the {through}."]
    end = end_words.strip().rstrip(".")
    if ends_as == Terminus.EXIT:
        where = f" ({begin_small(end)})" if end else ""
        of = f" at finding {exit_number}" if exit_number else ""
        said.append(f"It exits{of}{where}." if of or where else "It exits the body.")
    elif ends_as == Terminus.RECOVERED:
        said.append(f"Recovered at its end: {begin_small(end)}.")
    else:
        said.append(f"The track ends: {begin_small(end)}." if end else "The track ends there.")
    if direction is not None:
        said.append(direction_words(direction))
        if from_taps and direction.words:
            said.append(TAPPED)
    return " ".join(said)
