"""Things that several synthetic pictures share: backings, numbered markers, a straight scale."""

from typing import Any

import numpy as np

from .picture_canvas import Canvas, Color, Point, box, noise, oval
from .picture_labels import ScalePlace, lay_scale

FRAME = box(-1600, -1600, 4700, 4200)


def backing(canvas: Canvas, color: Color, *, folds: float = 0.0, weave: float = 2.5) -> None:
    """A cloth or paper that fills the frame, lit from the upper left."""
    rows, columns = max(canvas.height // 6, 8), max(canvas.width // 6, 8)
    y, x = np.mgrid[-1 : 1 : rows * 1j, -1 : 1 : columns * 1j].astype(np.float32)
    light = 0.95 - 0.10 * (x * 0.5 + y * 0.6)
    if folds:
        light += folds * noise(canvas.rng, (rows, columns), (rows * 0.30, columns * 0.42), 2)
    canvas.image.paste(color, (0, 0, canvas.width, canvas.height))
    canvas.shade(light)
    fine = noise(canvas.rng, (canvas.height // 2, canvas.width // 2), (1.6, 2.2))
    canvas.relief(fine, weave)


def marker(canvas: Canvas, x: float, y: float, number: int, size: float = 46) -> None:
    """A folded numbered marker standing at a place in a scene."""
    wide, tall = size * 0.78, size
    ground = [
        (x - wide * 0.5, y),
        (x + wide * 0.5, y),
        (x + wide * 0.75, y + size * 0.1),
        (x - wide * 0.2, y + size * 0.12),
    ]
    canvas.shadow(ground, shift=(size * 0.1, 0), blur=size * 0.07, opacity=0.5)
    side = [
        (x + wide * 0.38, y - tall),
        (x + wide * 0.5, y),
        (x + wide * 0.74, y - size * 0.06),
        (x + wide * 0.42, y - tall),
    ]
    canvas.fill(side, (176, 140, 34))
    front = [
        (x - wide * 0.38, y - tall),
        (x + wide * 0.38, y - tall),
        (x + wide * 0.5, y),
        (x - wide * 0.5, y),
    ]
    canvas.fill(front, (244, 208, 72), to=(224, 180, 48))
    canvas.text(
        (x, y - tall * 0.46), str(number), size * 0.66, (28, 26, 22), weight=700, anchor="mm"
    )


def cone(canvas: Canvas, x: float, y: float, size: float = 70) -> None:
    """A traffic cone."""
    canvas.shadow(oval(x + size * 0.1, y, size * 0.36, size * 0.09), blur=size * 0.05, opacity=0.5)
    canvas.fill(oval(x, y, size * 0.33, size * 0.08), (178, 78, 36))
    at = ((0.0, 0.26), (0.34, 0.18), (0.60, 0.12), (1.0, 0.035))
    for (low, wide), (high, thin), color in zip(
        at, at[1:], ((222, 104, 46), (236, 234, 228), (222, 104, 46)), strict=False
    ):
        band = [
            (x - wide * size, y - low * size),
            (x + wide * size, y - low * size),
            (x + thin * size, y - high * size),
            (x - thin * size, y - high * size),
        ]
        dark: Color = (color[0] * 6 // 10, color[1] * 6 // 10, color[2] * 6 // 10)
        canvas.fill(band, color, to=dark, angle=0)


def scale_beside(
    canvas: Canvas, at: Point, asked: bool, *, mm_per_unit: float, length_mm: int, size: float
) -> dict[str, Any] | None:
    """Lay a straight scale at a place of the stage, where one is asked for; returns its truth."""
    if not asked:
        return None
    x, y = canvas.px(at)
    lies = (float(round(x)), float(round(y)))
    place = ScalePlace(lies, mm_per_unit / canvas.unit, length_mm, 0, 0.0, size)
    lay_scale(canvas, place)
    return place.truth()


def object_truth(
    canvas: Canvas, mm_per_unit: float, outline: list[Point], scale: dict[str, Any] | None
) -> dict[str, Any]:
    """The truth of a picture of one object lying in the plane of the scale."""
    nodes = np.asarray(outline, dtype=float)
    wide, tall = (nodes.max(axis=0) - nodes.min(axis=0)) * mm_per_unit
    return {
        "mm_per_px": mm_per_unit / canvas.unit,
        "outline_px": [canvas.px(point) for point in outline],
        "length_mm": round(float(max(wide, tall)), 3),
        "width_mm": round(float(min(wide, tall)), 3),
        "parts": [],
        "scale": scale,
    }


def scene_truth() -> dict[str, Any]:
    """A scene is seen in perspective: no single size of a pixel holds."""
    return {
        "mm_per_px": None,
        "outline_px": [],
        "length_mm": None,
        "width_mm": None,
        "parts": [],
        "scale": None,
    }
