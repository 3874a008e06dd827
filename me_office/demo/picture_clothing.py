"""Clothing laid flat on paper: shirt, trousers, raincoat and an infant's sleep suit."""

from collections.abc import Callable, Sequence
from typing import Any

import numpy as np

from .picture_canvas import Canvas, Color, Point, box, curve, oval
from .picture_props import backing, object_truth, scale_beside

_PAPER: Color = (226, 221, 210)
_FABRICS: tuple[Color, ...] = ((74, 98, 130), (142, 78, 70), (92, 110, 84), (120, 112, 124))


def _mirror(points: Sequence[Point], axis: float = 750.0) -> list[Point]:
    return [(2 * axis - x, y) for x, y in points]


def _seam(canvas: Canvas, points: Sequence[Point], opacity: float = 0.45) -> None:
    """A sewn line: a dark groove with its lit edge."""
    line = curve(points, closed=False)
    canvas.stroke(line, 2.6, (20, 20, 26), opacity=opacity, blur=0.8)
    canvas.stroke(
        [(x + 3.4, y + 2) for x, y in line], 1.8, (255, 255, 250), opacity=opacity * 0.5, blur=0.8
    )


def _fold(canvas: Canvas, points: Sequence[Point], width: float = 22) -> None:
    """A soft crease in cloth."""
    line = curve(points, closed=False)
    taper = [max(width * float(np.sin(np.pi * n / (len(line) - 1))), 0.5) for n in range(len(line))]
    canvas.stroke(line, taper, (14, 14, 20), opacity=0.34, blur=width * 0.32)
    canvas.stroke(
        [(x - width * 0.8, y - width * 0.35) for x, y in line],
        taper,
        (255, 255, 255),
        opacity=0.17,
        blur=width * 0.32,
    )


def _garment(canvas: Canvas, outline: list[Point], color: Color) -> None:
    """Lay cloth down with shadow, thickness and weave."""
    dark: Color = (color[0] * 4 // 5, color[1] * 4 // 5, color[2] * 4 // 5)
    light: Color = (min(color[0] + 22, 255), min(color[1] + 22, 255), min(color[2] + 22, 255))
    canvas.shadow(outline, shift=(3, 4), blur=4, opacity=0.45)
    canvas.shadow(outline, shift=(12, 18), blur=20, opacity=0.32)
    canvas.fill(outline, light, to=dark, angle=55)
    canvas.texture(outline, (3, 2), 7, 1)
    canvas.texture(outline, (90, 60), 12, 2)


def _shirt_front(canvas: Canvas, color: Color) -> None:
    """Collar, button band, buttons and pocket."""
    deep: Color = (color[0] // 2, color[1] // 2, color[2] // 2)
    canvas.fill(oval(750, 176, 74, 20), deep)
    for side in (False, True):
        collar: list[Point] = [(680, 156), (664, 196), (716, 262), (750, 214), (724, 186)]
        shape = _mirror(collar) if side else collar
        canvas.shadow(shape, shift=(2, 4), blur=4)
        _garment_piece(canvas, shape, color)
    canvas.stroke([(736, 222), (736, 872)], 1.8, (16, 16, 22), opacity=0.5, blur=0.6)
    canvas.stroke([(768, 222), (768, 872)], 1.4, (16, 16, 22), opacity=0.35, blur=0.6)
    for y in range(258, 860, 98):
        canvas.shadow(oval(752, y, 8, 8), shift=(1.5, 2.5), blur=2)
        canvas.fill(oval(752, y, 8, 8), (238, 232, 220), to=(188, 182, 172), angle=60)
        for dx in (-2, 2):
            canvas.fill(oval(752 + dx, y, 1.2, 1.2), (70, 66, 62))
    pocket = box(812, 372, 96, 112, 8)
    _seam(canvas, [*pocket, pocket[0]][::3], 0.4)


def _shirt(canvas: Canvas, color: Color) -> list[Point]:
    half: list[Point] = [
        (690, 168),
        (640, 176),
        (560, 206),
        (512, 244),
        (470, 360),
        (408, 520),
        (352, 660),
        (372, 682),
        (432, 694),
        (486, 604),
        (560, 470),
        (566, 600),
        (560, 760),
        (556, 858),
        (650, 872),
        (750, 874),
    ]
    outline = half + _mirror(half)[::-1]
    _garment(canvas, outline, color)
    for side in (False, True):
        for points in (
            [(560, 470), (548, 380), (566, 300), (604, 214)],
            [(376, 652), (408, 664), (450, 668)],
        ):
            _seam(canvas, _mirror(points) if side else points)
    for points in (
        [(600, 470), (640, 560), (622, 700)],
        [(880, 500), (846, 640), (870, 800)],
        [(700, 640), (676, 740), (690, 850)],
        [(468, 470), (500, 480), (540, 430)],
        [(1030, 460), (1000, 500), (962, 440)],
        [(820, 330), (858, 380), (890, 470)],
    ):
        _fold(canvas, [(float(x), float(y)) for x, y in points])
    _shirt_front(canvas, color)
    return outline


def _garment_piece(canvas: Canvas, shape: list[Point], color: Color) -> None:
    light: Color = (min(color[0] + 34, 255), min(color[1] + 34, 255), min(color[2] + 34, 255))
    canvas.fill(shape, light, to=color, angle=60)
    canvas.texture(shape, (3, 2), 6, 1)


def _trousers(canvas: Canvas, color: Color) -> list[Point]:
    outline: list[Point] = [
        (566, 150),
        (934, 150),
        (952, 260),
        (972, 520),
        (984, 868),
        (836, 876),
        (806, 620),
        (756, 372),
        (744, 372),
        (694, 620),
        (664, 876),
        (516, 868),
        (528, 520),
        (548, 260),
    ]
    _garment(canvas, outline, color)
    canvas.fill(
        [(566, 150), (934, 150), (940, 190), (560, 190)],
        color,
        to=(30, 32, 40),
        angle=90,
        opacity=0.35,
    )
    for x in (610, 700, 800, 890):
        canvas.fill(box(x - 6, 144, 12, 52, 2), color)
        canvas.stroke([(x + 6, 146), (x + 6, 195)], 1.5, (16, 16, 20), opacity=0.5)
    _seam(canvas, [(750, 194), (752, 260), (750, 370)])
    _seam(canvas, [(750, 340), (782, 320), (786, 194)], 0.3)
    for side in (False, True):
        for points in ([(562, 206), (602, 224), (620, 196)], [(518, 852), (590, 858), (664, 860)]):
            _seam(canvas, _mirror(points) if side else points)
        crease: list[Point] = [(640, 300), (612, 560), (592, 840)]
        _fold(canvas, _mirror(crease) if side else crease, 12)
    for points in (
        [(720, 420), (650, 460), (560, 452)],
        [(800, 470), (880, 500), (960, 480)],
        [(570, 620), (620, 600), (680, 640)],
        [(830, 700), (890, 680), (970, 710)],
    ):
        _fold(canvas, [(float(x), float(y)) for x, y in points], 16)
    canvas.fill(oval(764, 170, 8, 8), (204, 196, 176), to=(130, 122, 108), angle=60)
    return outline


def _raincoat(canvas: Canvas, color: Color) -> list[Point]:
    """A blue coat with a hood, weathered at the hem."""
    del color
    blue: Color = (58, 92, 146)
    half: list[Point] = [
        (700, 196),
        (620, 214),
        (540, 262),
        (486, 400),
        (420, 600),
        (378, 726),
        (456, 752),
        (520, 640),
        (576, 500),
        (566, 700),
        (548, 920),
        (650, 938),
        (750, 940),
    ]
    outline = half + _mirror(half)[::-1]
    _garment(canvas, outline, blue)
    hood = curve([(660, 210), (650, 130), (700, 84), (800, 84), (850, 130), (840, 210), (750, 236)])
    canvas.shadow(hood, shift=(3, 6), blur=6)
    _garment_piece(canvas, hood, blue)
    canvas.fill(oval(750, 172, 58, 52), (30, 46, 76), blur=4)
    for x in (742, 772):
        _seam(canvas, [(x, 236), (x, 930)], 0.4)
    for y in range(290, 920, 104):
        canvas.fill(oval(757, y, 9, 9), (210, 214, 220), to=(120, 124, 132), angle=60)
    for x in (604, 812):
        pocket = box(x, 640, 92, 24, 6)
        canvas.shadow(pocket, shift=(2, 4), blur=4)
        _garment_piece(canvas, pocket, blue)
    for points in ([(576, 500), (566, 400), (590, 290)], [(398, 688), (436, 700), (476, 706)]):
        line = [(float(x), float(y)) for x, y in points]
        _seam(canvas, line)
        _seam(canvas, _mirror(line))
    for points in (
        [(620, 520), (650, 640), (630, 820)],
        [(880, 480), (850, 660), (880, 860)],
        [(690, 700), (670, 800), (690, 900)],
    ):
        _fold(canvas, [(float(x), float(y)) for x, y in points], 26)
    canvas.fill(curve([(560, 860), (660, 880), (900, 866), (940, 930), (560, 930)]), (96, 84, 62),
                blur=24, opacity=0.35)  # fmt: skip
    return outline


def _sleep_suit(canvas: Canvas, color: Color) -> list[Point]:
    """A one-piece suit with feet and snaps."""
    del color
    cream: Color = (214, 206, 176)
    half: list[Point] = [
        (690, 150),
        (612, 172),
        (500, 300),
        (396, 420),
        (440, 474),
        (500, 446),
        (592, 362),
        (590, 560),
        (560, 760),
        (536, 884),
        (570, 930),
        (650, 920),
        (690, 780),
        (738, 640),
        (750, 636),
    ]
    outline = half + _mirror(half)[::-1]
    _garment(canvas, outline, cream)
    canvas.fill(oval(750, 150, 62, 22), (128, 122, 100))
    canvas.stroke(oval(750, 150, 64, 24, 0, (0, 180)), 9, (238, 232, 210))
    _seam(canvas, [(750, 176), (750, 400), (744, 620)], 0.35)
    for y in range(212, 620, 66):
        canvas.fill(oval(756, y, 8, 8), (246, 246, 244), to=(176, 174, 166), angle=60)
    for points in ([(592, 362), (584, 280), (616, 186)], [(410, 436), (432, 452), (452, 466)],
                   [(548, 846), (610, 862), (668, 858)]):  # fmt: skip
        line = [(float(x), float(y)) for x, y in points]
        _seam(canvas, line, 0.35)
        _seam(canvas, _mirror(line), 0.35)
    for n in range(26):
        x, y = 620 + (n % 5) * 66 + (n // 5 % 2) * 30, 240 + (n // 5) * 74
        if abs(x - 752) > 26:
            canvas.fill(oval(x, y, 6, 6), (150, 176, 190), opacity=0.7)
    for points in ([(640, 420), (660, 540), (620, 640)], [(870, 400), (840, 520), (880, 650)]):
        _fold(canvas, [(float(x), float(y)) for x, y in points], 20)
    return outline


def _hole(canvas: Canvas) -> None:
    """A small hole over the left chest, its edge black."""
    at = (870.0, 330.0)
    canvas.fill(oval(*at, 22, 20), (18, 16, 16), blur=7, opacity=0.75)
    canvas.fill(curve([(860, 326), (868, 318), (880, 322), (882, 334), (872, 342), (862, 338)]),
                (10, 9, 9))  # fmt: skip


def _belt_mark(canvas: Canvas) -> None:
    """A rubbed band from the left shoulder to the right lower chest, with parallel edges."""
    band: list[Point] = [(858, 196), (900, 214), (640, 690), (598, 668)]
    canvas.fill(band, (40, 36, 34), blur=5, opacity=0.32)
    for a, b in (((858, 196), (598, 668)), ((900, 214), (640, 690))):
        canvas.stroke([(float(a[0]), float(a[1])), (float(b[0]), float(b[1]))], 6, (28, 24, 24),
                      blur=2, opacity=0.55)  # fmt: skip


# How each garment is cut, and how many mm of it one unit of the stage is.
_GARMENTS: dict[str, tuple[Callable[[Canvas, Color], list[Point]], float]] = {
    "shirt": (_shirt, 0.98),
    "trousers": (_trousers, 0.98),
    "raincoat": (_raincoat, 1.15),
    "sleep suit": (_sleep_suit, 0.72),
}
_MARKS: dict[str, Callable[[Canvas], None]] = {"hole": _hole, "belt": _belt_mark}


def clothing(
    canvas: Canvas, *, scale: bool, garment: str = "shirt", mark: str = "", tone: int = 0
) -> dict[str, Any]:
    """A garment laid flat on paper; mark is "hole" or "belt", on a shirt."""
    if garment not in _GARMENTS:
        raise ValueError(f"garment must be {', '.join(_GARMENTS)}, not {garment}")
    if mark and (mark not in _MARKS or garment != "shirt"):
        raise ValueError(f"mark must be {' or '.join(_MARKS)}, on a shirt, not {mark}")
    backing(canvas, _PAPER, folds=0.012, weave=2)
    lay, mm = _GARMENTS[garment]
    outline = lay(canvas, _FABRICS[tone % len(_FABRICS)])
    if mark:
        _MARKS[mark](canvas)
    canvas.soften_edges(start=0.9, radius=5)
    laid = scale_beside(canvas, (62, 908), scale, mm_per_unit=mm, length_mm=300, size=3.2)
    return object_truth(canvas, mm, outline, laid)
