"""Objects on a backing: clothing, property, medication, specimens and an identification tag."""

from collections.abc import Sequence
from typing import Any

import numpy as np

from .picture_canvas import Canvas, Colour, Point, box, curve, oval, ribbon, turned
from .picture_props import backing, object_truth, straight_scale

_PAPER: Colour = (226, 221, 210)
_CLOTH: Colour = (88, 106, 112)
_FABRICS: tuple[Colour, ...] = ((74, 98, 130), (142, 78, 70), (92, 110, 84), (120, 112, 124))


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


def _garment(canvas: Canvas, outline: list[Point], colour: Colour) -> None:
    """Lay cloth down with shadow, thickness and weave."""
    dark: Colour = (colour[0] * 4 // 5, colour[1] * 4 // 5, colour[2] * 4 // 5)
    light: Colour = (min(colour[0] + 22, 255), min(colour[1] + 22, 255), min(colour[2] + 22, 255))
    canvas.shadow(outline, shift=(3, 4), blur=4, opacity=0.45)
    canvas.shadow(outline, shift=(12, 18), blur=20, opacity=0.32)
    canvas.fill(outline, light, to=dark, angle=55)
    canvas.texture(outline, (3, 2), 7, 1)
    canvas.texture(outline, (90, 60), 12, 2)


def _shirt_front(canvas: Canvas, colour: Colour) -> None:
    """Collar, button band, buttons and pocket."""
    deep: Colour = (colour[0] // 2, colour[1] // 2, colour[2] // 2)
    canvas.fill(oval(750, 176, 74, 20), deep)
    for side in (False, True):
        collar: list[Point] = [(680, 156), (664, 196), (716, 262), (750, 214), (724, 186)]
        shape = _mirror(collar) if side else collar
        canvas.shadow(shape, shift=(2, 4), blur=4)
        _garment_piece(canvas, shape, colour)
    canvas.stroke([(736, 222), (736, 872)], 1.8, (16, 16, 22), opacity=0.5, blur=0.6)
    canvas.stroke([(768, 222), (768, 872)], 1.4, (16, 16, 22), opacity=0.35, blur=0.6)
    for y in range(258, 860, 98):
        canvas.shadow(oval(752, y, 8, 8), shift=(1.5, 2.5), blur=2)
        canvas.fill(oval(752, y, 8, 8), (238, 232, 220), to=(188, 182, 172), angle=60)
        for dx in (-2, 2):
            canvas.fill(oval(752 + dx, y, 1.2, 1.2), (70, 66, 62))
    pocket = box(812, 372, 96, 112, 8)
    _seam(canvas, [*pocket, pocket[0]][::3], 0.4)


def _shirt(canvas: Canvas, colour: Colour) -> list[Point]:
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
    _garment(canvas, outline, colour)
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
    _shirt_front(canvas, colour)
    return outline


def _garment_piece(canvas: Canvas, shape: list[Point], colour: Colour) -> None:
    light: Colour = (min(colour[0] + 34, 255), min(colour[1] + 34, 255), min(colour[2] + 34, 255))
    canvas.fill(shape, light, to=colour, angle=60)
    canvas.texture(shape, (3, 2), 6, 1)


def _trousers(canvas: Canvas, colour: Colour) -> list[Point]:
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
    _garment(canvas, outline, colour)
    canvas.fill(
        [(566, 150), (934, 150), (940, 190), (560, 190)],
        colour,
        to=(30, 32, 40),
        angle=90,
        opacity=0.35,
    )
    for x in (610, 700, 800, 890):
        canvas.fill(box(x - 6, 144, 12, 52, 2), colour)
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


def clothing(
    canvas: Canvas, *, scale: bool, garment: str = "shirt", tone: int = 0
) -> dict[str, Any]:
    """A garment laid flat on paper; garment is "shirt" or "trousers"."""
    pieces = {"shirt": _shirt, "trousers": _trousers}
    if garment not in pieces:
        raise ValueError(f"garment must be shirt or trousers, not {garment}")
    backing(canvas, _PAPER, folds=0.012, weave=2)
    outline = pieces[garment](canvas, _FABRICS[tone % len(_FABRICS)])
    canvas.soften_edges(start=0.9, radius=5)
    mm = 0.98
    laid = (
        straight_scale(canvas, (62, 908), mm_per_unit=mm, length_mm=300, size=3.2)
        if scale
        else None
    )
    return object_truth(canvas, mm, outline, laid)


def property_items(canvas: Canvas, *, scale: bool, tone: int = 0) -> dict[str, Any]:
    """Keys, a watch and a wallet on a tray liner."""
    del tone
    backing(canvas, _CLOTH, folds=0.02, weave=4)
    wallet = turned(box(150, 260, 470, 360, 26), (380, 430), -5)
    _leather(canvas, wallet)
    _watch(canvas, 810, 440)
    _keys(canvas, 1190, 360)
    canvas.soften_edges(start=0.9, radius=5)
    mm = 0.25
    laid = (
        straight_scale(canvas, (96, 812), mm_per_unit=mm, length_mm=200, size=1.5)
        if scale
        else None
    )
    return object_truth(canvas, mm, wallet, laid)


def _leather(canvas: Canvas, outline: list[Point]) -> None:
    canvas.shadow(outline, shift=(4, 6), blur=5, opacity=0.55)
    canvas.shadow(outline, shift=(16, 22), blur=22, opacity=0.4)
    canvas.fill(outline, (126, 84, 56), to=(78, 48, 32), angle=60)
    canvas.texture(outline, (7, 7), 9, 2)
    canvas.texture(outline, (80, 110), 12, 2)
    middle = (380.0, 430.0)
    inner = turned(box(168, 278, 434, 324, 20), middle, -5)
    for n in range(0, len(inner)):
        a, b = inner[n], inner[(n + 1) % len(inner)]
        gap = float(np.hypot(b[0] - a[0], b[1] - a[1]))
        for step in range(int(gap // 11)):
            t = step * 11 / gap
            c = (a[0] + (b[0] - a[0]) * t, a[1] + (b[1] - a[1]) * t)
            d = (c[0] + (b[0] - a[0]) * 6 / gap, c[1] + (b[1] - a[1]) * 6 / gap)
            canvas.stroke([c, d], 2.4, (196, 154, 112), opacity=0.75)
    fold = turned([(152, 266), (152, 614)], middle, -5)
    canvas.stroke([(x + 26, y) for x, y in fold], 16, (40, 22, 14), blur=7, opacity=0.5)
    canvas.stroke([(x + 10, y) for x, y in fold], 9, (206, 160, 122), blur=5, opacity=0.45)
    strap = turned(box(548, 404, 84, 58, 14), middle, -5)
    canvas.shadow(strap, shift=(2, 4), blur=4)
    canvas.fill(strap, (112, 72, 48), to=(84, 52, 36), angle=80)
    snap = turned([(590, 433)], middle, -5)[0]
    canvas.fill(oval(*snap, 12, 12), (214, 196, 150), to=(120, 98, 60), angle=60)


def _watch(canvas: Canvas, x: float, y: float) -> None:
    strap_top = [
        (x - 46, y - 90),
        (x + 46, y - 90),
        (x + 36, y - 292),
        (x + 22, y - 306),
        (x - 22, y - 306),
        (x - 36, y - 292),
    ]
    strap_low = [(a, 2 * y - b + (30 if b < y - 250 else 0)) for a, b in strap_top]
    for strap in (strap_top, strap_low):
        canvas.shadow(strap, shift=(8, 12), blur=10, opacity=0.45)
        canvas.fill(strap, (64, 60, 60), to=(36, 34, 36), angle=20)
        canvas.texture(strap, 6, 8)
    for n in range(5):
        canvas.fill(oval(x, y + 190 + n * 24, 4.5, 6), (20, 18, 18))
    canvas.shadow(oval(x, y, 114, 114), shift=(10, 14), blur=12, opacity=0.55)
    canvas.fill(box(x + 104, y - 14, 22, 28, 5), (190, 190, 194), to=(110, 110, 116))
    canvas.fill(oval(x, y, 112, 112), (236, 236, 238), to=(104, 106, 112), angle=50)
    canvas.fill(oval(x, y, 98, 98), (96, 98, 104), to=(226, 226, 230), angle=50)
    canvas.fill(oval(x, y, 92, 92), (238, 236, 228), to=(214, 212, 204), angle=60)
    for hour in range(60):
        a = np.radians(hour * 6)
        long, wide = (16, 5) if hour % 5 == 0 else (6, 1.6)
        ends = [(x + r * np.sin(a), y - r * np.cos(a)) for r in (86 - long, 86)]
        canvas.stroke([(float(p), float(q)) for p, q in ends], wide, (40, 42, 48))
    for degrees, reach, wide in ((305.0, 46.0, 7.0), (60.0, 68.0, 5.0)):
        a = np.radians(degrees)
        tip = (float(x + reach * np.sin(a)), float(y - reach * np.cos(a)))
        canvas.stroke(
            [(x + 3, y + 4), (tip[0] + 3, tip[1] + 4)], wide, (60, 60, 60), blur=2, opacity=0.4
        )
        canvas.stroke([(x, y), tip], wide, (36, 38, 46))
    canvas.stroke([(x, y + 16), (x - 42, y - 52)], 1.8, (168, 62, 48))
    canvas.fill(oval(x, y, 6, 6), (36, 38, 46))
    canvas.fill(oval(x - 26, y - 34, 46, 26, -38), (255, 255, 255), blur=12, opacity=0.22)


def _keys(canvas: Canvas, x: float, y: float) -> None:
    ring = ribbon([*oval(x, y, 78, 78)], 9)
    canvas.shadow(ring, shift=(6, 9), blur=6, opacity=0.5)
    canvas.fill(ring, (222, 222, 226), to=(112, 114, 120), angle=50)
    for angle, first, last in (
        (62.0, (222, 190, 118), (140, 108, 52)),
        (96.0, (214, 214, 218), (116, 118, 124)),
        (128.0, (206, 180, 126), (128, 102, 60)),
    ):
        a = np.radians(angle)
        cx, cy = float(x + 116 * np.cos(a)), float(y + 116 * np.sin(a))
        blade: list[Point] = [(40, -14), (214, -14), (230, 0), (218, 12)]
        edge = [(214 - n * 17.0, 12 + float(canvas.rng.uniform(-8, 3))) for n in range(1, 9)]
        blade += [*edge, (58.0, 15.0), (40.0, 15.0)]
        parts = [oval(0, 0, 52, 48), blade]
        moved = [
            [
                (cx + p * np.cos(a) - q * np.sin(a), cy + p * np.sin(a) + q * np.cos(a))
                for p, q in part
            ]
            for part in parts
        ]
        for part in moved:
            canvas.shadow(part, shift=(6, 10), blur=7, opacity=0.5)
        for part in moved:
            canvas.fill(part, first, to=last, angle=50)
        hole = (cx - 24 * np.cos(a), cy - 24 * np.sin(a))
        canvas.fill(oval(hole[0], hole[1], 11, 11), (44, 52, 56))
        groove = [
            (cx + r * np.cos(a) + 3 * np.sin(a), cy + r * np.sin(a) - 3 * np.cos(a))
            for r in (52, 206)
        ]
        canvas.stroke(groove, 4, (80, 66, 44), opacity=0.5, blur=0.8)


def identification_tag(
    canvas: Canvas, *, scale: bool, tone: int = 0, case_number: str = "2026-0000"
) -> dict[str, Any]:
    """A card on a string with an invented case number."""
    del tone
    backing(canvas, (98, 120, 128), folds=0.05, weave=4)
    cord = curve([(-40, 120), (150, 190), (210, 330), (322, 430), (430, 440)], closed=False)
    canvas.stroke([(x + 6, y + 10) for x, y in cord], 8, (16, 16, 18), blur=6, opacity=0.5)
    canvas.stroke(cord, 7, (214, 204, 184))
    card: list[Point] = [(330, 340), (400, 270), (1230, 270), (1230, 690), (400, 690), (330, 620)]
    canvas.shadow(card, shift=(4, 6), blur=5, opacity=0.5)
    canvas.shadow(card, shift=(14, 20), blur=22, opacity=0.35)
    canvas.fill(card, (236, 220, 178), to=(222, 202, 156), angle=40)
    canvas.texture(card, 3, 4, 2)
    ring = oval(410, 480, 34, 34)
    canvas.fill(ring, (176, 122, 84), to=(148, 98, 66))
    canvas.fill(oval(410, 480, 16, 16), (70, 84, 90))
    end = curve([(322, 430), (372, 470), (410, 482)], closed=False)
    canvas.stroke(end, 7, (214, 204, 184))
    ink: Colour = (38, 36, 40)
    canvas.text((490, 346), "TARN COUNTY MEDICAL EXAMINER", 34, (92, 74, 52), weight=600)
    canvas.text((490, 470), case_number, 118, ink, weight=700)
    for n, words in enumerate(("Name", "Attached by", "Date and time")):
        y = 548 + n * 50
        canvas.text((490, y), words, 24, (110, 90, 64))
        canvas.stroke([(660, y + 4), (1180, y + 4)], 1.8, (150, 128, 94))
    canvas.soften_edges(start=0.9, radius=5)
    mm = 0.15
    laid = (
        straight_scale(canvas, (420, 772), mm_per_unit=mm, length_mm=120, size=0.85)
        if scale
        else None
    )
    return object_truth(canvas, mm, card, laid)
