"""An invented collision at night: a road, a hatchback and a van; no make is meant."""

from collections.abc import Callable
from typing import Any

from .picture_canvas import Canvas, Color, Point, box, curve, oval
from .picture_outdoors import sky, trees
from .picture_props import FRAME, cone, marker, scene_truth

Placed = Callable[[list[Point]], list[Point]]


def _placed(x: float, y: float, size: float) -> Placed:
    def at(points: list[Point]) -> list[Point]:
        return [(x + a * size, y + b * size) for a, b in points]

    return at


def _carriageway(canvas: Canvas) -> None:
    """Verge, surface, broken middle line and edge lines."""
    road: list[Point] = [(672, 400), (800, 400), (1700, 1010), (-60, 1010)]
    canvas.fill(
        [(664, 400), (808, 400), (1790, 1010), (-150, 1010)],
        (150, 138, 112),
        to=(136, 124, 98),
        blur=3,
    )
    canvas.fill(road, (118, 118, 118), to=(84, 84, 86))
    canvas.texture(road, 2.4, 12, 1)
    canvas.texture(road, (60, 140), 8, 2)
    for n in range(9):
        a, b = (n / 9) ** 2.0, ((n + 0.5) / 9) ** 2.0
        y0, y1 = 404 + a * 610, 404 + b * 610
        x0, x1 = 736 + (y0 - 400) * 0.139, 736 + (y1 - 400) * 0.139
        w0, w1 = 1 + (y0 - 400) * 0.026, 1 + (y1 - 400) * 0.026
        canvas.fill(
            [(x0 - w0, y0), (x0 + w0, y0), (x1 + w1, y1), (x1 - w1, y1)],
            (228, 226, 214),
            opacity=0.85,
        )
    for x0, x1, w in ((676, 0, 13), (796, 1640, 13)):
        canvas.stroke([(x0, 402), (x1, 1010)], [1.5, w], (222, 220, 208), opacity=0.8)


def scene_road(canvas: Canvas, *, markers: int = 3) -> dict[str, Any]:
    """A wet road at night: a damaged hatchback against a van, cones and numbered markers."""
    sky(canvas, (160, 182, 202), (224, 226, 222), 400)
    trees(canvas, 404, 70, (92, 112, 104), blur=4)
    canvas.fill(
        [(-1600, 400), (3100, 400), (3100, 1700), (-1600, 1700)], (122, 136, 84), to=(92, 112, 62)
    )
    canvas.texture([(-1600, 400), (3100, 400), (3100, 1700), (-1600, 1700)], (12, 50), 18, 4)
    _carriageway(canvas)
    for shift in (0, 96):
        trace = curve(
            [
                (1150 + shift, 1010),
                (1010 + shift * 0.8, 840),
                (930 + shift * 0.6, 740),
                (910 + shift * 0.5, 690),
            ],
            closed=False,
        )
        canvas.stroke(
            trace,
            [22 - 12 * n / len(trace) for n in range(len(trace))],
            (30, 30, 32),
            blur=5,
            opacity=0.5,
        )
    _hedge(canvas)
    paint: Color = (84, 112, 132)
    _van(canvas, 640, 560, 0.82)
    _hatchback(canvas, 900, 700, 1.05, paint)
    for x, y, size in ((610, 640, 56), (500, 760, 78), (330, 930, 112)):
        cone(canvas, x, y, size)
    _night_and_rain(canvas)
    for number, (x, y) in enumerate(((900, 800), (1130, 900), (760, 740))[:markers], 1):
        marker(canvas, x, y, number, 40 + (y - 700) * 0.14)
    canvas.soften_edges(start=0.9, radius=4)
    return scene_truth()


def _hedge(canvas: Canvas) -> None:
    for points in (
        [(-300, 380), (300, 392), (610, 398), (610, 412), (300, 470), (-300, 600)],
        [(1800, 350), (1200, 384), (862, 398), (862, 410), (1200, 460), (1800, 570)],
    ):
        shape = curve([(float(x), float(y)) for x, y in points], steps=8)
        canvas.fill(shape, (92, 116, 66), to=(44, 62, 36), blur=3)
        canvas.texture(shape, 9, 28, 3)


def _wheels(canvas: Canvas, at: Placed, *lefts: float) -> None:
    canvas.fill(
        at([(-6, -14), (268, -14), (300, 16), (-30, 16)]), (14, 14, 16), blur=9, opacity=0.75
    )
    for left in lefts:
        canvas.fill(at(box(left, -52, 42, 62, 12)), (30, 30, 32), to=(14, 14, 15))


def _hatchback(canvas: Canvas, x: float, y: float, size: float, hue: Color) -> None:
    """A small car seen from behind, with an upright tail; its left side is pushed in."""
    at = _placed(x, y, size)
    dark: Color = (hue[0] * 5 // 10, hue[1] * 5 // 10, hue[2] * 5 // 10)
    light: Color = (hue[0] + 50, hue[1] + 50, hue[2] + 48)
    _wheels(canvas, at, 12, 212)
    body: list[Point] = [(-2, -24), (-4, -96), (10, -140), (36, -222), (60, -236)]
    body += [(206, -236), (230, -222), (256, -140), (270, -96), (268, -24)]
    canvas.fill(at(body), light, to=dark)
    glass: list[Point] = [(40, -146), (60, -208), (72, -218), (194, -218), (206, -208), (226, -146)]
    canvas.fill(at(glass), (120, 140, 152), to=(34, 42, 50), angle=65)
    canvas.stroke(at([(133, -146), (150, -178), (128, -196), (140, -218)]), 1.6, (230, 236, 240))
    canvas.stroke(at([(150, -178), (190, -170), (216, -182)]), 1.4, (230, 236, 240))
    canvas.stroke(at([(150, -178), (104, -164), (58, -176)]), 1.4, (230, 236, 240))
    for left in (4, 242):
        canvas.fill(at(box(left, -152, 20, 60, 6)), (186, 52, 44), to=(116, 28, 26))
    canvas.fill(at(box(88, -108, 90, 24, 3)), (232, 230, 222), to=(196, 194, 188))
    canvas.fill(at(box(2, -64, 262, 36, 10)), dark, to=(24, 28, 32))
    dent: list[Point] = [(-8, -150), (40, -176), (58, -120), (22, -84), (-10, -96)]
    canvas.fill(at(curve(dent)), (16, 18, 22), blur=6, opacity=0.6)
    canvas.stroke(at(dent), 3, light, blur=1.4, opacity=0.7)
    canvas.stroke(at([(-6, -118), (30, -130), (54, -104)]), 3.4, (10, 12, 16), blur=1)


def _van(canvas: Canvas, x: float, y: float, size: float) -> None:
    """A tall van seen from its front, one lamp out, its front pushed in."""
    at = _placed(x, y, size)
    _wheels(canvas, at, 8, 262)
    body: list[Point] = [(0, -30), (-4, -180), (24, -330), (46, -352), (266, -352)]
    body += [(288, -330), (316, -180), (312, -30)]
    canvas.fill(at(body), (214, 214, 210), to=(138, 140, 142))
    glass: list[Point] = [(22, -200), (44, -318), (268, -318), (290, -200)]
    canvas.fill(at(glass), (110, 128, 140), to=(30, 38, 46), angle=65)
    for a, b in (((170, -260), (60, -214)), ((170, -260), (250, -230)), ((170, -260), (150, -316)),
                 ((170, -260), (220, -310))):  # fmt: skip
        canvas.stroke(at([(float(a[0]), float(a[1])), (float(b[0]), float(b[1]))]), 1.6,
                      (232, 238, 242))  # fmt: skip
    canvas.fill(at(box(6, -96, 300, 60, 10)), (70, 72, 76), to=(30, 32, 36))
    canvas.fill(at(oval(44, -128, 26, 20)), (252, 246, 214), to=(220, 210, 170))
    canvas.fill(at(oval(268, -128, 26, 20)), (44, 46, 50))
    crushed: list[Point] = [(180, -190), (320, -196), (322, -40), (206, -32), (168, -110)]
    canvas.fill(at(curve(crushed)), (18, 20, 24), blur=10, opacity=0.62)
    for fold in ([(196, -176), (240, -140), (310, -156)], [(186, -96), (250, -110), (312, -84)]):
        line = at([(float(a), float(b)) for a, b in fold])
        canvas.stroke(line, 4, (236, 236, 234), blur=1.4, opacity=0.7)
        canvas.stroke([(p, q + 5) for p, q in line], 4, (8, 9, 12), blur=1.4)


def _night_and_rain(canvas: Canvas) -> None:
    """Darkness with the light of one lamp, wet gleams on the road, and falling rain."""
    canvas.fill(FRAME, (6, 10, 22), opacity=0.62)
    lamp = (676.0, 452.0)
    canvas.fill(oval(*lamp, 190, 130), (255, 236, 176), blur=60, opacity=0.42)
    canvas.fill(oval(*lamp, 22, 17), (255, 252, 230), blur=4)
    canvas.fill([(640, 600), (712, 600), (560, 1000), (420, 1000)], (255, 232, 170), blur=30,
                opacity=0.30)  # fmt: skip
    for _ in range(26):
        x, y = float(canvas.rng.uniform(60, 1480)), float(canvas.rng.uniform(700, 990))
        canvas.fill(oval(x, y, 60, 4), (190, 204, 222), blur=4, opacity=0.28)
    for _ in range(260):
        x, y = float(canvas.rng.uniform(-200, 1700)), float(canvas.rng.uniform(-100, 1000))
        long = float(canvas.rng.uniform(24, 60))
        canvas.stroke([(x, y), (x - long * 0.18, y + long)], 1.3, (206, 216, 232), opacity=0.34)
