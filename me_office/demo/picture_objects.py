"""Objects on a backing: property and an identification tag."""

from typing import Any

import numpy as np

from .picture_canvas import Canvas, Color, Point, box, curve, oval, ribbon, turned
from .picture_props import backing, object_truth, scale_beside

_CLOTH: Color = (88, 106, 112)


def property_items(canvas: Canvas, *, scale: bool, tone: int = 0) -> dict[str, Any]:
    """Keys, a steel watch that stopped at 20:46 with its glass cracked, and a wallet."""
    del tone
    backing(canvas, _CLOTH, folds=0.02, weave=4)
    wallet = turned(box(150, 260, 470, 360, 26), (380, 430), -5)
    _leather(canvas, wallet)
    _watch(canvas, 810, 440)
    _keys(canvas, 1190, 360)
    canvas.soften_edges(start=0.9, radius=5)
    mm = 0.25
    laid = scale_beside(canvas, (96, 812), scale, mm_per_unit=mm, length_mm=200, size=1.5)
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
    _bracelet(canvas, x, y)
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
    for degrees, reach, wide in watch_hands(20, 46):
        a = np.radians(degrees)
        tip = (float(x + reach * np.sin(a)), float(y - reach * np.cos(a)))
        canvas.stroke(
            [(x + 3, y + 4), (tip[0] + 3, tip[1] + 4)], wide, (60, 60, 60), blur=2, opacity=0.4
        )
        canvas.stroke([(x, y), tip], wide, (36, 38, 46))
    canvas.stroke([(x, y + 16), (x - 42, y - 52)], 1.8, (168, 62, 48))
    canvas.fill(oval(x, y, 6, 6), (36, 38, 46))
    canvas.fill(oval(x - 26, y - 34, 46, 26, -38), (255, 255, 255), blur=12, opacity=0.22)
    _cracks(canvas, x, y)


def watch_hands(hour: int, minute: int) -> tuple[tuple[float, float, float], ...]:
    """Turn from twelve in degrees, reach and width of the hour and the minute hand."""
    return ((hour % 12 + minute / 60) * 30.0, 46.0, 7.0), (minute * 6.0, 68.0, 5.0)


def _bracelet(canvas: Canvas, x: float, y: float) -> None:
    """Steel links above and below the case."""
    for n in range(9):
        for side in (-1, 1):
            half = 46 - n * 1.3
            top = y + side * (116 + n * 23) - 11
            link = box(x - half, top, 2 * half, 21, 5)
            canvas.shadow(link, shift=(8, 11), blur=8, opacity=0.4)
            canvas.fill(link, (226, 228, 232), to=(122, 126, 134), angle=35)
            middle = box(x - half * 0.4, top, half * 0.8, 21, 4)
            canvas.fill(middle, (150, 154, 162), to=(236, 238, 242), angle=35)


def _cracks(canvas: Canvas, x: float, y: float) -> None:
    """Breaks in the glass that run out from one place."""
    start = (x + 34.0, y + 30.0)
    for turn, reach in ((200, 128), (238, 104), (285, 96), (150, 70), (20, 44), (95, 46)):
        a = np.radians(turn)
        bend = np.radians(turn + 14)
        line = [
            start,
            (float(start[0] + reach * 0.5 * np.cos(a)), float(start[1] + reach * 0.5 * np.sin(a))),
            (float(start[0] + reach * np.cos(bend)), float(start[1] + reach * np.sin(bend))),
        ]
        canvas.stroke([(p + 1.6, q + 1.6) for p, q in line], 2.2, (60, 64, 72), opacity=0.7)
        canvas.stroke(line, 1.6, (255, 255, 255), opacity=0.95)


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
    ink: Color = (38, 36, 40)
    canvas.text((490, 346), "TARN COUNTY MEDICAL EXAMINER", 34, (92, 74, 52), weight=600)
    canvas.text((490, 470), case_number, 118, ink, weight=700)
    for n, words in enumerate(("Name", "Attached by", "Date and time")):
        y = 548 + n * 50
        canvas.text((490, y), words, 24, (110, 90, 64))
        canvas.stroke([(660, y + 4), (1180, y + 4)], 1.8, (150, 128, 94))
    canvas.soften_edges(start=0.9, radius=5)
    mm = 0.15
    laid = scale_beside(canvas, (420, 772), scale, mm_per_unit=mm, length_mm=120, size=0.85)
    return object_truth(canvas, mm, card, laid)
