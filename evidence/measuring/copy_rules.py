"""Which operations make a copy: marked, rectified or cropped. Pure."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np

from evidence.measuring.rules import CopyKind, ScaleKind, result_words, scale_of
from findings.calculations import plane_geometry as plane
from findings.calculations.arrays import floats
from findings.calculations.photo_assumptions import as_shown
from findings.calculations.photo_measurement import transform_of
from me_office.audit.errors import Refused

LONGEST_PX = 6000
MARGIN = 0.15  # of the longer side, around what a rectified or cropped copy shows
CLOSED = "area"


def operations_for(
    kind: CopyKind, measurement: Any, *, with_line: bool = True
) -> list[dict[str, Any]]:
    """The operations of a copy, from a measurement (its kind, points, inputs, result).

    `with_line` is for a rectified copy: the others show the measured line always. A rectified copy
    needs a right-angled scale. Raises Refused.
    """
    inputs = measurement.inputs
    size = inputs["picture_px"]
    first = {"op": "upright", "orientation": inputs["orientation"]}
    points = floats(measurement.points)
    if kind is CopyKind.MARKED:
        return [first, marks(measurement, points, size)]
    if kind is CopyKind.CROPPED:
        part = crop(measurement)
        left, top, right, bottom = part["box"]
        return [first, part, marks(measurement, points - (left, top), (right - left, bottom - top))]
    if measurement.scale_kind != ScaleKind.RIGHT_ANGLED:
        raise Refused(
            "A straight scale cannot rectify a picture; a right-angled one can.", field="kind"
        )
    flat = rectify(measurement.points, inputs["scale_points"])
    drawn = [marks(measurement, _on_copy(flat, points), flat["size"])] if with_line else []
    return [first, flat, *drawn]


def marks(measurement: Any, points: Any, size: Sequence[int]) -> dict[str, Any]:
    """The measured line with its words above its middle, in a picture of this size."""
    width, height = size
    straight = measurement.scale_kind == ScaleKind.STRAIGHT
    shown = as_shown(measurement.result, straight=straight, version=measurement.method_version)
    # A line of words is about 330 units long: it has to fit beside the middle of a narrow part.
    unit_px = max(1, round(min(max(size) / 800, width / 360)))
    room = min(width / 2, 170 * unit_px)
    middle = min(max(float(points[:, 0].mean()), room), width - room)
    above = max(float(points[:, 1].min()) - 8 * unit_px, 14 * unit_px)
    return {
        "op": "mark",
        "lines": [{"points": points.tolist(), "closed": measurement.kind == CLOSED}],
        # The drawing face has no raised 2.
        "words": [
            {
                "at": [middle, min(above, height - 4 * unit_px)],
                "text": result_words(shown).replace("cm²", "sq. cm"),
            }
        ],
        "unit_px": unit_px,
    }


def _on_copy(flat: Mapping[str, Any], points: Any) -> Any:
    """Where points of the picture lie on its rectified copy, in the copy's pixels."""
    to_plane = floats(np.linalg.inv(flat["to_picture"]))
    on_plane = plane.mapped(to_plane, points)
    return (on_plane - np.array(flat["origin_mm"])) * flat["px_per_mm"]


def crop(measurement: Any) -> dict[str, Any]:
    """The part of the picture with scale and object, and some room around them."""
    picks = [pick["px"] for pick in measurement.inputs["scale_points"]]
    box = _with_room(floats([*picks, *measurement.points]))
    width, height = measurement.inputs["picture_px"]
    left, top = max(0, int(box[0])), max(0, int(box[1]))
    right, bottom = min(width, int(box[2]) + 1), min(height, int(box[3]) + 1)
    return {"op": "crop", "box": [left, top, right, bottom]}


def rectify(
    points: Sequence[Sequence[float]], picks: Sequence[Mapping[str, Any]]
) -> dict[str, Any]:
    """Look square on at the scale's plane, as fine as the picture is near the scale."""
    scale = scale_of(picks)
    if scale is None:
        raise Refused("There is no scale.", field="kind")
    known = _as_seen(scale.picture, scale.known)
    to_plane = transform_of(scale.picture, known)
    on_plane = plane.mapped(to_plane, floats(points))
    left, top, right, bottom = _with_room(np.vstack([known, on_plane]))
    px_per_mm = _span(scale.picture) / _span(scale.known)
    px_per_mm = min(px_per_mm, LONGEST_PX / max(right - left, bottom - top))
    back = np.linalg.inv(to_plane)
    return {
        "op": "rectify",
        "to_picture": (back / back[2, 2]).tolist(),
        "origin_mm": [left, top],
        "px_per_mm": round(px_per_mm, 6),
        "size": [
            max(1, round((right - left) * px_per_mm)),
            max(1, round((bottom - top) * px_per_mm)),
        ],
    }


def _as_seen(picture: Any, known: Any) -> Any:
    """The scale's places turned by quarters, and never mirrored, to lie as they do in the picture.

    A scale counts along its arms, whichever way they point; a copy must not swap left and right.
    """
    flat, seen = known - known.mean(axis=0), picture - picture.mean(axis=0)
    turns = [np.array([[c, -s], [s, c]]) for c, s in ((1, 0), (0, 1), (-1, 0), (0, -1))]
    ways = [turn @ np.diag([1, side]) for turn in turns for side in (1, -1)]
    linear = np.linalg.lstsq(flat, seen, rcond=None)[0]
    unmirrored = [way for way in ways if np.linalg.det(way) * np.linalg.det(linear) > 0]
    best = max(unmirrored, key=lambda way: float((flat @ way.T * seen).sum()))
    return known @ best.T


def _with_room(points: Any) -> tuple[float, float, float, float]:
    low, high = points.min(axis=0), points.max(axis=0)
    room = MARGIN * float((high - low).max())
    return (
        float(low[0]) - room,
        float(low[1]) - room,
        float(high[0]) + room,
        float(high[1]) + room,
    )


def _span(points: Any) -> float:
    return float(np.hypot(*(points - points.mean(axis=0)).T).mean())
