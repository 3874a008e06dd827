"""Invented places outdoors: a river bank, a weir, a field."""

from typing import Any

import numpy as np

from .picture_canvas import Canvas, Color, Point, box, curve, oval
from .picture_props import FRAME, marker, scene_truth


def sky(canvas: Canvas, top: Color, low: Color, horizon: float) -> None:
    """Paint a clouded sky down to the horizon."""
    canvas.fill(
        [(-1600, -600), (3100, -600), (3100, horizon + 4), (-1600, horizon + 4)], top, to=low
    )
    for _ in range(16):
        x, y = float(canvas.rng.uniform(-200, 1700)), float(canvas.rng.uniform(20, horizon * 0.75))
        wide = float(canvas.rng.uniform(120, 340))
        canvas.fill(oval(x, y, wide, wide * 0.13), (250, 248, 244), blur=26, opacity=0.34)


def _ragged(canvas: Canvas, level: float, rise: float, step: float, low: float) -> list[Point]:
    """The outline of trees or bushes against what lies behind them."""
    top: list[Point] = []
    height = 0.5
    for x in np.arange(-260, 1780, step):
        height = float(np.clip(height + canvas.rng.uniform(-0.3, 0.3), 0.1, 1))
        top.append((float(x), level - rise * height - float(canvas.rng.uniform(0, rise * 0.2))))
    return [*curve(top, closed=False, steps=4), (1780, low), (-260, low)]


def trees(
    canvas: Canvas, level: float, rise: float, near: Color, *, blur: float = 2.0, step: float = 22
) -> None:
    """Paint a row of trees or bushes on a level."""
    shape = _ragged(canvas, level, rise, step, level + 6)
    light: Color = (near[0] + 26, near[1] + 30, near[2] + 20)
    canvas.fill(shape, light, to=near, blur=blur)
    canvas.texture(shape, rise * 0.16, 18, 3)


def grass(
    canvas: Canvas,
    area: tuple[float, float, float, float],
    count: int,
    tall: float,
    hues: tuple[Color, ...],
) -> None:
    """Blades, taller the nearer they are; area is x0, y0, x1, y1."""
    x0, y0, x1, y1 = area
    for y in np.sort(canvas.rng.uniform(y0, y1, count)):
        x = float(canvas.rng.uniform(x0, x1))
        high = tall * (0.4 + 0.9 * (float(y) - y0) / max(y1 - y0, 1)) * canvas.rng.uniform(0.6, 1.2)
        lean = float(canvas.rng.uniform(-0.5, 0.5)) * high
        hue = hues[int(canvas.rng.integers(len(hues)))]
        blade: list[Point] = [
            (x - high * 0.05, float(y)),
            (x + lean * 0.4, float(y) - high * 0.6),
            (x + lean, float(y) - high),
            (x + lean * 0.4 + high * 0.05, float(y) - high * 0.55),
            (x + high * 0.05, float(y)),
        ]
        canvas.fill(blade, hue, opacity=0.85)


def _water(canvas: Canvas, top: float, low: float, far: Color, near: Color) -> None:
    """Water between two levels with streaks of sky and of the trees above it."""
    area: list[Point] = [(-1600, top), (3100, top), (3100, low), (-1600, low)]
    canvas.fill(area, far, to=near)
    canvas.texture(area, (5, 130), 18, 3)
    for _ in range(90):
        t = float(canvas.rng.uniform(0, 1)) ** 1.6
        y = top + (low - top) * t
        x, wide = (
            float(canvas.rng.uniform(-200, 1700)),
            float(canvas.rng.uniform(30, 150)) * (0.5 + t),
        )
        pale = canvas.rng.uniform() < 0.55
        canvas.fill(
            oval(x, y, wide, 1.0 + 2.4 * t),
            (222, 230, 232) if pale else (40, 54, 54),
            blur=1.6,
            opacity=0.30,
        )


def _stones(canvas: Canvas, area: tuple[float, float, float, float], count: int) -> None:
    x0, y0, x1, y1 = area
    for y in np.sort(canvas.rng.uniform(y0, y1, count)):
        x = float(canvas.rng.uniform(x0, x1))
        size = (8 + 20 * (float(y) - y0) / max(y1 - y0, 1)) * float(canvas.rng.uniform(0.5, 1.3))
        shape = oval(x, float(y), size, size * 0.55, float(canvas.rng.uniform(-14, 14)))
        gray = int(canvas.rng.integers(116, 168))
        canvas.shadow(shape, shift=(size * 0.15, size * 0.22), blur=size * 0.16, opacity=0.5)
        canvas.fill(
            shape, (gray + 20, gray + 16, gray + 8), to=(gray - 50, gray - 52, gray - 54), angle=70
        )


def _bank(canvas: Canvas, edge: list[Point], mud: Color, green: Color) -> None:
    """The near bank: a wet margin, then earth running into grass."""
    line = curve(edge, closed=False)
    ground = [*line, (1800, 1300), (-300, 1300)]
    canvas.fill([(x, y - 16) for x, y in ground], (52, 48, 40), blur=9, opacity=0.55)
    canvas.fill(ground, mud, to=green)
    canvas.texture(ground, (16, 40), 22, 4)


_REEDS: tuple[Color, ...] = ((96, 112, 58), (122, 130, 70), (74, 92, 50), (150, 144, 88))


def scene_river(canvas: Canvas, *, markers: int = 2) -> dict[str, Any]:
    """A river bank under an overcast sky."""
    sky(canvas, (170, 184, 194), (220, 222, 216), 340)
    trees(canvas, 350, 120, (78, 98, 88), blur=4)
    trees(canvas, 366, 62, (58, 80, 56), blur=2, step=15)
    _water(canvas, 362, 1100, (96, 112, 104), (124, 146, 152))
    canvas.fill(
        [(-1600, 362), (3100, 362), (3100, 440), (-1600, 440)], (42, 58, 46), blur=24, opacity=0.5
    )
    _bank(
        canvas,
        [(-300, 640), (200, 690), (520, 730), (860, 800), (1200, 890), (1800, 930)],
        (128, 108, 80),
        (92, 104, 60),
    )
    _stones(canvas, (-40, 780, 1000, 960), 34)
    grass(canvas, (-60, 640, 330, 900), 240, 62, _REEDS)
    grass(canvas, (-60, 930, 1560, 1030), 340, 58, _REEDS)
    for number, (x, y) in enumerate(((640, 830), (420, 880), (900, 900))[:markers], 1):
        marker(canvas, x, y, number, 46)
    canvas.soften_edges(start=0.9, radius=4)
    return scene_truth()


def _weir_walls(canvas: Canvas) -> None:
    """The stone walls at both ends of the weir."""
    for x, top in ((-60, 380), (1330, 350)):
        wall: list[Point] = [(x, top), (x + 230, top), (x + 250, 740), (x - 20, 740)]
        canvas.shadow(wall, shift=(16, 8), blur=18, opacity=0.5)
        canvas.fill(wall, (150, 146, 136), to=(94, 92, 86))
        canvas.texture(wall, 10, 16, 3)
        for n in range(1, 8):
            y = top + n * (740 - top) / 8
            canvas.stroke(
                [(x - 20 * n / 8, y), (x + 230 + 20 * n / 8, y)], 2.4, (52, 52, 48), opacity=0.5
            )
        canvas.fill(
            [(x, top - 14), (x + 230, top - 14), (x + 236, top + 8), (x - 6, top + 8)],
            (188, 184, 174),
            to=(146, 142, 134),
        )


def scene_weir(canvas: Canvas, *, markers: int = 1) -> dict[str, Any]:
    """A low weir with white water below it."""
    sky(canvas, (176, 190, 200), (224, 224, 216), 260)
    trees(canvas, 280, 130, (70, 92, 72), blur=3)
    _water(canvas, 276, 460, (90, 108, 100), (118, 138, 138))
    sill: list[Point] = [(-300, 452), (1800, 424), (1800, 448), (-300, 478)]
    fall: list[Point] = [(-300, 470), (1800, 440), (1800, 590), (-300, 650)]
    canvas.fill(fall, (128, 150, 154), to=(214, 224, 226))
    for _ in range(420):
        x = float(canvas.rng.uniform(-260, 1760))
        t = (x + 300) / 2100
        y0, full = 468 - 30 * t, 172 - 26 * t
        start = float(canvas.rng.uniform(0, 0.45)) if canvas.rng.uniform() < 0.5 else 0.0
        pale = canvas.rng.uniform() < 0.66
        canvas.stroke(
            [(x, y0 + full * start), (x, y0 + full * (start + 1) / 2), (x, y0 + full)],
            [1.0, 4.0, 8.0],
            (244, 248, 248) if pale else (92, 118, 124),
            blur=2.2,
            opacity=0.26,
        )
    canvas.fill(sill, (142, 160, 158), to=(92, 112, 110))
    _water(canvas, 628, 1100, (150, 170, 172), (104, 128, 130))
    for _ in range(170):
        x, y = float(canvas.rng.uniform(-200, 1700)), float(canvas.rng.normal(0, 24))
        at = 634 - 58 * (x + 300) / 2100 + abs(y) * 1.7
        wide = float(canvas.rng.uniform(14, 60))
        canvas.fill(oval(x, at, wide, wide * 0.26), (248, 250, 250), blur=5, opacity=0.42)
    _weir_walls(canvas)
    _bank(
        canvas,
        [(-300, 820), (300, 850), (760, 900), (1240, 930), (1800, 900)],
        (116, 102, 78),
        (90, 104, 62),
    )
    grass(canvas, (-60, 900, 1560, 1030), 360, 60, _REEDS)
    for number, (x, y) in enumerate(((520, 916), (900, 948))[:markers], 1):
        marker(canvas, x, y, number, 50)
    canvas.soften_edges(start=0.9, radius=4)
    return scene_truth()


def scene_field(canvas: Canvas, *, markers: int = 3) -> dict[str, Any]:
    """A stubble field with a hedge, a tree, and a taped area."""
    sky(canvas, (150, 180, 208), (232, 228, 212), 420)
    trees(canvas, 430, 46, (86, 104, 84), blur=3, step=18)
    ground: list[Point] = [(-1600, 424), (3100, 424), (3100, 1700), (-1600, 1700)]
    canvas.fill(ground, (186, 164, 104), to=(150, 124, 72))
    for n in range(-40, 41):
        canvas.stroke(
            [(750 + n * 17, 426), (750 + n * 132, 1010)],
            [0.8, 16],
            (104, 80, 44),
            opacity=0.45,
        )
    canvas.texture(ground, (7, 16), 24, 3)
    canvas.texture(FRAME, 260, 5, 2)
    _tree(canvas, 1030, 436)
    grass(
        canvas, (-60, 560, 1560, 1010), 260, 30, ((206, 180, 116), (176, 148, 88), (146, 128, 72))
    )
    stakes: list[Point] = [(430, 640), (960, 612), (1130, 800), (360, 850)]
    canvas.fill(stakes, (120, 96, 56), blur=18, opacity=0.28)
    for a, b in zip(stakes, [*stakes[1:], stakes[0]], strict=True):
        sag = ((a[0] + b[0]) / 2, (a[1] + b[1]) / 2 - 46)
        tape = curve([(a[0], a[1] - 62), sag, (b[0], b[1] - 62)], closed=False)
        canvas.stroke(tape, 8, (236, 200, 70))
        for n in range(0, len(tape) - 2, 4):
            canvas.stroke(tape[n : n + 2], 8, (52, 48, 40), opacity=0.8)
    for x, y in stakes:
        canvas.shadow(box(x - 4, y - 4, 70, 6), shift=(6, 2), blur=4)
        canvas.fill(box(x - 4, y - 74, 9, 76), (214, 186, 140), to=(130, 98, 60), angle=0)
    for number, (x, y) in enumerate(((640, 760), (830, 720), (560, 820))[:markers], 1):
        marker(canvas, x, y, number, 40 + (y - 700) * 0.1)
    grass(canvas, (-60, 970, 1560, 1040), 260, 74, ((150, 138, 72), (118, 120, 62), (186, 164, 96)))
    canvas.soften_edges(start=0.9, radius=4)
    return scene_truth()


def _tree(canvas: Canvas, x: float, y: float) -> None:
    canvas.fill(oval(x + 60, y + 18, 170, 16), (44, 40, 22), blur=12, opacity=0.5)
    canvas.fill(
        [(x - 15, y + 14), (x - 8, y - 130), (x + 10, y - 130), (x + 18, y + 14)],
        (106, 84, 62),
        to=(58, 46, 34),
        angle=0,
    )
    for _ in range(46):
        a, r = float(canvas.rng.uniform(0, 6.283)), float(canvas.rng.uniform(0, 1)) ** 0.6
        cx, cy = x + 112 * r * np.cos(a), y - 200 + 96 * r * np.sin(a)
        size = float(canvas.rng.uniform(22, 46))
        shade = float(np.clip(0.5 + (x - cx) * 0.0022 + (y - 200 - cy) * 0.0042, 0.15, 0.95))
        hue: Color = (int(42 + 70 * shade), int(62 + 76 * shade), int(34 + 40 * shade))
        canvas.fill(oval(cx, cy, size, size * 0.8), hue, blur=5, opacity=0.85)
    canvas.texture(oval(x, y - 200, 112, 96), 7, 16, 3)
