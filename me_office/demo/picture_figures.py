"""Faceless mannequins: whole figure, face and hand, modeled as clay and lit."""

from typing import Any

import numpy as np
from PIL import Image

from .picture_canvas import Canvas, Color, Point, curve, oval
from .picture_props import backing, object_truth, scale_beside
from .picture_relief import Relief

CLAY: tuple[Color, ...] = (
    (226, 214, 200),
    (212, 194, 174),
    (196, 172, 148),
    (170, 140, 114),
    (148, 116, 93),
    (126, 98, 80),
)
_CLOTH: Color = (98, 120, 128)
_FIGURE_MM = 1740.0
_FIGURE = 1270.0
_HEAD_AT = 118.0


def _loft(relief: Relief, rows: list[tuple[float, float, float]]) -> None:
    """A trunk lying along x, from rows of (along, half width, depth)."""
    table = np.asarray(rows, dtype=float)
    for along in np.arange(table[0, 0], table[-1, 0], 5.0):
        half = float(np.interp(along, table[:, 0], table[:, 1]))
        deep = float(np.interp(along, table[:, 0], table[:, 2]))
        relief.ellipsoid(_HEAD_AT + along, 500, 24, half, deep)


def _limbs(relief: Relief) -> None:
    """Arms beside the trunk and legs slightly apart."""
    for side in (-1, 1):
        arm = [
            (238, 138, 46),
            (300, 166, 43),
            (392, 190, 36),
            (452, 206, 36),
            (545, 228, 29),
            (606, 242, 22),
        ]
        relief.chain([(_HEAD_AT + a, 500 + side * b, r) for a, b, r in arm], flat=0.85)
        hand = [(618, 244, 24), (650, 250, 30), (688, 256, 24), (716, 258, 14)]
        relief.chain([(_HEAD_AT + a, 500 + side * b, r) for a, b, r in hand], flat=0.5)
        thumb = [(640, 228, 11), (668, 218, 10), (686, 216, 8)]
        relief.chain([(_HEAD_AT + a, 500 + side * b, r) for a, b, r in thumb], flat=0.8)
        leg = [
            (640, 60, 66),
            (720, 66, 68),
            (830, 72, 58),
            (920, 76, 46),
            (960, 78, 44),
            (1030, 82, 46),
            (1110, 84, 35),
            (1185, 86, 26),
            (1216, 88, 27),
        ]
        relief.chain([(_HEAD_AT + a, 500 + side * b, r) for a, b, r in leg], flat=0.85)
        foot = [(1208, 88, 28), (1234, 102, 27), (1250, 122, 20)]
        relief.chain([(_HEAD_AT + a, 500 + side * b, r) for a, b, r in foot], flat=1.1)


def _trunk(relief: Relief, *, front: bool) -> None:
    """Head, neck and trunk, with the few planes that tell front from back."""
    x = _HEAD_AT
    relief.ellipsoid(x + 78, 500, 80, 64, 70)
    relief.ellipsoid(x + 118, 500, 56, 50, 56)
    relief.chain([(x + 140, 500, 40), (x + 190, 500, 42), (x + 225, 500, 56)], flat=0.8)
    _loft(
        relief,
        [
            (196, 48, 40),
            (214, 116, 50),
            (232, 150, 60),
            (280, 152, 74),
            (350, 138, 78),
            (440, 112, 66),
            (480, 108, 64),
            (550, 124, 70),
            (610, 132, 72),
            (650, 122, 66),
            (676, 96, 50),
        ],
    )
    if front:
        relief.ellipsoid(x + 96, 500, 26, 9, 9, add=True)
        relief.ellipsoid(x + 116, 500, 9, 11, 7, add=True)
        for side in (-1, 1):
            relief.ellipsoid(x + 78, 500 + side * 22, 10, 14, -6, add=True)
            relief.ellipsoid(x + 305, 500 + side * 62, 46, 52, 11, add=True)
            relief.ellipsoid(x + 224, 500 + side * 66, 8, 58, 6, add=True)
            relief.ellipsoid(x + 962, 500 + side * 78, 26, 22, 7, add=True)
        relief.ellipsoid(x + 430, 500, 130, 9, -5, add=True)
        relief.ellipsoid(x + 500, 500, 6, 6, -5, add=True)
        return
    relief.ellipsoid(x + 400, 500, 170, 11, -11, add=True)
    for side in (-1, 1):
        relief.ellipsoid(x + 295, 500 + side * 84, 62, 38, 12, angle=side * 18, add=True)
        relief.ellipsoid(x + 640, 500 + side * 58, 58, 50, 20, add=True)
        relief.ellipsoid(x + 1030, 500 + side * 82, 54, 30, 7, add=True)
    relief.ellipsoid(x + 640, 500, 56, 8, -14, add=True)


def _joints(canvas: Canvas, mask: Image.Image) -> None:
    """Fine seams where a mannequin's parts meet."""
    before = canvas.image.copy()
    x = _HEAD_AT
    seams: list[list[Point]] = [[(x + 168, 452), (x + 178, 500), (x + 168, 548)]]
    for side in (-1, 1):
        seams += [
            [(x + 214, 500 + side * 96), (x + 262, 500 + side * 118), (x + 322, 500 + side * 132)],
            [(x + 430, 500 + side * 160), (x + 438, 500 + side * 200), (x + 430, 500 + side * 250)],
            [(x + 600, 500 + side * 212), (x + 606, 500 + side * 240), (x + 600, 500 + side * 270)],
            [(x + 706, 500 + side * 6), (x + 668, 500 + side * 70), (x + 618, 500 + side * 140)],
            [(x + 950, 500 + side * 26), (x + 958, 500 + side * 78), (x + 950, 500 + side * 130)],
            [
                (x + 1192, 500 + side * 56),
                (x + 1198, 500 + side * 86),
                (x + 1192, 500 + side * 122),
            ],
        ]
    for seam in seams:
        line = curve(seam, closed=False)
        canvas.stroke(line, 2.4, (62, 48, 40), opacity=0.55, blur=0.7)
        canvas.stroke([(a + 2.6, b) for a, b in line], 1.6, (255, 244, 230), opacity=0.2, blur=0.7)
    canvas.image = Image.composite(canvas.image, before, mask)


def overview_mannequin(
    canvas: Canvas, *, scale: bool, tone: int = 1, view: str = "front"
) -> dict[str, Any]:
    """A whole figure lying on a sheet, seen from above; view is "front" or "back"."""
    if view not in ("front", "back"):
        raise ValueError(f"view must be front or back, not {view}")
    backing(canvas, _CLOTH, folds=0.05)
    relief = Relief(canvas)
    _limbs(relief)
    _trunk(relief, front=view == "front")
    mask = relief.light(CLAY[tone], fuse=4.0, shine=0.10)
    _joints(canvas, mask)
    canvas.soften_edges(start=0.9, radius=5)
    mm = _FIGURE_MM / _FIGURE
    laid = scale_beside(canvas, (130, 842), scale, mm_per_unit=mm, length_mm=1000, size=4.2)
    x = _HEAD_AT
    outline = [
        (x, 500.0),
        (x + 240, 330.0),
        (x + 720, 230.0),
        (x + _FIGURE, 380.0),
        (x + _FIGURE, 620.0),
        (x + 720, 770.0),
        (x + 240, 670.0),
    ]
    return object_truth(canvas, mm, outline, laid)


def face_mannequin(canvas: Canvas, *, scale: bool, tone: int = 1) -> dict[str, Any]:
    """A mannequin's face with closed lids, seen from the front."""
    backing(canvas, _CLOTH, folds=0.04)
    relief = Relief(canvas)
    relief.ellipsoid(750, 1060, 560, 250, 150)
    relief.chain([(750, 640, 130), (750, 780, 138), (750, 930, 175)], flat=0.7)
    relief.light(CLAY[tone], fuse=9.0, shine=0.05, shadow=0.35)
    head = Relief(canvas)
    for side in (-1, 1):
        head.ellipsoid(750 + side * 232, 448, 30, 66, 50, angle=side * 9)
    head.ellipsoid(750, 360, 232, 250, 230)
    head.chain([(750, 430, 226), (750, 520, 200), (750, 610, 148), (750, 660, 104)], flat=1.0)
    _features(head)
    head.light(CLAY[tone], fuse=5.0, shine=0.10, shadow=0.45, lift=(14, 26))
    for side in (-1, 1):
        lid = curve(
            [
                (750 + side * 40, 432),
                (750 + side * 66, 447),
                (750 + side * 96, 448),
                (750 + side * 128, 432),
            ],
            closed=False,
        )
        canvas.stroke(
            lid,
            [2 + 3 * np.sin(np.pi * n / (len(lid) - 1)) for n in range(len(lid))],
            (74, 54, 46),
            opacity=0.75,
            blur=0.9,
        )
    mouth = curve([(692, 594), (722, 593), (750, 597), (778, 593), (808, 594)], closed=False)
    canvas.stroke(mouth, 4.2, (82, 52, 48), opacity=0.7, blur=1.2)
    canvas.soften_edges(start=0.8, radius=7)
    mm = 235.0 / 654.0
    laid = scale_beside(canvas, (200, 870), scale, mm_per_unit=mm, length_mm=150, size=1.9)
    return object_truth(canvas, mm, oval(750, 437, 232, 327), laid)


def _features(head: Relief) -> None:
    """Sockets, lids, nose, lips and chin as gentle rises and hollows."""
    for side in (-1, 1):
        x = 750 + side * 84
        head.ellipsoid(x, 380, 78, 24, 9, angle=side * 5, add=True)
        head.ellipsoid(x, 430, 58, 34, -30, add=True)
        head.ellipsoid(x, 434, 46, 26, 30, add=True)
        head.ellipsoid(750 + side * 128, 500, 62, 40, 16, angle=side * 24, add=True)
        head.ellipsoid(750 + side * 34, 532, 15, 14, 16, add=True)
        head.ellipsoid(750 + side * 20, 549, 9, 5, -10, add=True)
        head.ellipsoid(750 + side * 66, 570, 14, 44, -3, angle=side * -22, add=True)
    for step in range(9):
        y = 412 + step * 14.5
        head.ellipsoid(750, y, 15 + step * 0.9, 18, 7 + step * 1.7, add=True)
    head.ellipsoid(750, 534, 24, 20, 22, add=True)
    head.ellipsoid(750, 566, 9, 14, -6, add=True)
    head.ellipsoid(750, 585, 50, 10, 15, add=True)
    head.ellipsoid(750, 608, 44, 12, 17, add=True)
    head.ellipsoid(750, 632, 36, 9, -9, add=True)
    head.ellipsoid(750, 672, 42, 32, 18, add=True)


_FINGERS: tuple[tuple[Point, Point, float], ...] = (
    ((786, 318), (1072, 236), 40),
    ((822, 398), (1168, 372), 43),
    ((818, 484), (1140, 506), 41),
    ((776, 562), (1018, 626), 35),
)


def _hand_form(relief: Relief) -> None:
    """Forearm, palm, fingers and thumb."""
    relief.chain([(-140, 470, 128), (120, 462, 112), (330, 452, 104), (420, 448, 112)], flat=0.62)
    for (x0, y0), (x1, y1), r in _FINGERS:
        relief.chain(
            [
                (430, 448 + (y0 - 440) * 0.35, 88),
                (620, 448 + (y0 - 440) * 0.72, 70),
                (x0, y0, r * 1.22),
            ],
            flat=0.62,
        )
        nodes = [
            (x0 + (x1 - x0) * t, y0 + (y1 - y0) * t, r * k)
            for t, k in (
                (0, 1.2),
                (0.22, 1.0),
                (0.42, 1.07),
                (0.62, 0.92),
                (0.76, 0.94),
                (1.0, 0.72),
            )
        ]
        relief.chain(nodes, flat=0.8)
    # Beside the index finger, the uppermost: so the back is a right hand's, the palm a left one's.
    thumb = [(430, 426, 96), (540, 286, 62), (640, 190, 46), (700, 148, 47), (778, 110, 34)]
    relief.chain([(float(x), float(y), float(r)) for x, y, r in thumb], flat=0.75)


def hand_mannequin(
    canvas: Canvas, *, scale: bool, tone: int = 1, view: str = "back"
) -> dict[str, Any]:
    """A mannequin's hand, flat: the "back" of a right hand (with nails), or a left "palm"."""
    if view not in ("back", "palm"):
        raise ValueError(f"view must be back or palm, not {view}")
    backing(canvas, _CLOTH, folds=0.04)
    relief = Relief(canvas)
    _hand_form(relief)
    if view == "back":
        for (x0, y0), _, r in _FINGERS:
            relief.ellipsoid(x0 - 10, y0, r, r * 0.8, 15, add=True)
    relief.light(CLAY[tone], fuse=5.0, shine=0.08, shadow=0.5)
    tips = [(p, q, r * 0.72) for p, q, r in _FINGERS] + [((640, 190), (778, 110), 27)]
    for (x0, y0), (x1, y1), r in tips:
        _finger_detail(canvas, (x0, y0), (x1, y1), r, nail=view == "back")
    canvas.soften_edges(start=0.85, radius=6)
    mm = 188.0 / 870.0
    laid = scale_beside(canvas, (860, 812), scale, mm_per_unit=mm, length_mm=100, size=1.2)
    outline = curve(
        [
            (430, 326),
            (800, 106),
            (1102, 236),
            (1200, 372),
            (1170, 506),
            (1044, 626),
            (786, 620),
            (330, 546),
        ]
    )
    return object_truth(canvas, mm, outline, laid)


def _finger_detail(canvas: Canvas, root: Point, tip: Point, r: float, *, nail: bool) -> None:
    """Creases at the two joints, and a nail."""
    angle = float(np.degrees(np.arctan2(tip[1] - root[1], tip[0] - root[0])))
    for share in (0.40, 0.44, 0.71, 0.74):
        x, y = root[0] + (tip[0] - root[0]) * share, root[1] + (tip[1] - root[1]) * share
        line = oval(x - r * 0.2, y, r * 0.3, r * 0.8, angle, (-62, 62))
        canvas.stroke(line, 2.0, (70, 50, 42), opacity=0.28, blur=1.2)
    if nail:
        x, y = tip[0] + 4 * np.cos(np.radians(angle)), tip[1] + 4 * np.sin(np.radians(angle))
        canvas.fill(oval(x, y, r * 0.74, r * 0.56, angle), (90, 62, 54), blur=1.4, opacity=0.5)
        canvas.fill(
            oval(x + 1, y, r * 0.70, r * 0.52, angle),
            (232, 206, 192),
            to=(202, 170, 156),
            opacity=0.8,
            blur=0.8,
        )
