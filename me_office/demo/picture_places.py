"""Invented places outdoors: a yard with grain bins, a field on a moor below a wall."""

from typing import Any

from .picture_canvas import Canvas, Color, Point, box, curve, oval
from .picture_outdoors import grass, sky, trees
from .picture_props import FRAME, marker, scene_truth

_GROUND: list[Point] = [(-1600, 560), (3100, 560), (3100, 1700), (-1600, 1700)]


def scene_yard(canvas: Canvas, *, markers: int = 3) -> dict[str, Any]:
    """A yard with three steel grain bins; a fixed ladder on the second."""
    sky(canvas, (168, 184, 198), (224, 222, 214), 560)
    trees(canvas, 560, 60, (92, 104, 96), blur=4)
    canvas.fill(_GROUND, (150, 142, 128), to=(124, 116, 104))
    canvas.texture(_GROUND, (4, 9), 22, 3)
    for number, (x, wide, top) in enumerate(((80, 330, 230), (560, 390, 170), (1110, 340, 220)), 1):
        _bin(canvas, x, wide, top, number)
    pad: list[Point] = [(500, 606), (1010, 606), (1080, 672), (440, 672)]
    canvas.fill(pad, (188, 186, 180), to=(164, 162, 156))
    canvas.texture(pad, (3, 8), 10, 2)
    for x in (838, 876):
        canvas.stroke([(x, 214), (x, 620)], 6, (92, 94, 98))
    for y in range(232, 616, 20):
        canvas.stroke([(838, y), (876, y)], 4, (108, 110, 114))
    places = ((860, 690), (740, 720), (960, 760))
    for number, (x, y) in enumerate(places[:markers], 1):
        marker(canvas, x, y, number, 46)
    canvas.soften_edges(start=0.9, radius=4)
    return scene_truth()


def _bin(canvas: Canvas, x: float, wide: float, top: float, number: int) -> None:
    """A round bin of ribbed steel with a cone for its roof."""
    low, middle = 616.0, x + wide / 2
    steel: Color = (206, 210, 212)
    canvas.fill(oval(middle + 40, low + 6, wide * 0.6, 26), (30, 28, 26), blur=16, opacity=0.5)
    body = [*box(x, top, wide, low - top)[:2], *oval(middle, low, wide / 2, 16, 0, (0, 180))]
    canvas.fill(body, steel, to=(116, 120, 126), angle=0)
    canvas.fill(box(x, top, wide * 0.22, low - top), (90, 94, 100), blur=26, opacity=0.5)
    for n in range(1, int((low - top) / 14)):
        rib = [(a, b - low + top + n * 14) for a, b in oval(middle, low, wide / 2, 14, 0, (0, 180))]
        canvas.stroke(rib, 2.2, (96, 100, 106), opacity=0.45)
    roof: list[Point] = [(x - 8, top + 6), (middle - 22, top - 84), (middle + 22, top - 84),
                         (x + wide + 8, top + 6)]  # fmt: skip
    canvas.fill(roof, (224, 226, 228), to=(140, 144, 150), angle=10)
    canvas.fill(box(middle - 24, top - 98, 48, 18, 4), (120, 124, 130))
    canvas.text((x + wide * 0.3, top + 90), str(number), 64, (62, 66, 72), weight=700, anchor="ms")


def scene_moor(canvas: Canvas, *, markers: int = 3) -> dict[str, Any]:
    """Rough grass below a dry stone wall."""
    sky(canvas, (160, 178, 194), (222, 222, 212), 420)
    hill = curve([(-300, 420), (300, 330), (760, 372), (1250, 300), (1800, 360)], closed=False)
    far: list[Point] = [*hill, (1800, 600), (-300, 600)]
    canvas.fill(far, (134, 138, 116), to=(150, 146, 104), blur=3)
    canvas.texture(far, 12, 12, 3)
    ground: list[Point] = [(-1600, 520), (3100, 520), (3100, 1700), (-1600, 1700)]
    canvas.fill(ground, (150, 146, 92), to=(112, 110, 62))
    canvas.texture(ground, (8, 20), 26, 4)
    _dry_wall(canvas)
    hues: tuple[Color, ...] = ((150, 146, 84), (118, 124, 66), (178, 164, 104))
    grass(canvas, (-60, 640, 1560, 1010), 420, 44, hues)
    places = ((640, 740), (830, 700), (560, 830))
    for number, (x, y) in enumerate(places[:markers], 1):
        marker(canvas, x, y, number, 44)
    grass(canvas, (-60, 980, 1560, 1040), 200, 70, hues)
    canvas.texture(FRAME, 260, 4, 2)
    canvas.soften_edges(start=0.9, radius=4)
    return scene_truth()


def _dry_wall(canvas: Canvas) -> None:
    """Courses of loose stones across the picture."""
    base: list[Point] = [(-300, 440), (1800, 400), (1800, 580), (-300, 620)]
    canvas.fill([(x, y + 16) for x, y in base], (30, 30, 22), blur=14, opacity=0.5)
    canvas.fill(base, (70, 68, 62))
    for row in range(6):
        x = -280.0 + float(canvas.rng.uniform(0, 40))
        while x < 1780:
            wide = float(canvas.rng.uniform(34, 78))
            y = 448 + row * 29 - (x + 300) * 40 / 2100 + float(canvas.rng.uniform(-3, 3))
            shape = curve(box(x, y, wide - 5, 27), steps=4)
            gray = int(canvas.rng.integers(118, 172))
            canvas.fill(shape, (gray + 8, gray + 6, gray - 4), to=(gray - 52, gray - 52, gray - 56))
            x += wide
    canvas.texture(base, 6, 14, 2)
