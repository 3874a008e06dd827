"""Glass and plastic: specimen tubes in a rack and a medication bottle."""

from collections.abc import Sequence
from typing import Any

from .picture_canvas import Canvas, Color, box, oval
from .picture_props import backing, object_truth, scale_beside

# What a tube holds: the cap by the common colors (gray with fluoride, red plain), and the fluid.
_CONTENTS: dict[str, tuple[Color, tuple[Color, Color]]] = {
    "blood": ((138, 142, 148), ((128, 58, 58), (92, 38, 42))),
    "urine": ((196, 160, 84), ((232, 208, 138), (206, 176, 98))),
    "vitreous": ((170, 74, 66), ((236, 232, 222), (216, 210, 198))),
}


def specimen_tubes(
    canvas: Canvas,
    *,
    scale: bool,
    tone: int = 0,
    contents: Sequence[str] = ("blood", "blood", "urine", "vitreous"),
    first_number: int = 1,
    case_number: str = "2026-0000",
) -> dict[str, Any]:
    """Capped and labeled tubes lying side by side on a tray liner."""
    del tone
    if not 1 <= len(contents) <= 6 or not set(contents) <= set(_CONTENTS):
        raise ValueError(f"contents must be from 1 to 6 of {', '.join(_CONTENTS)}")
    backing(canvas, (206, 210, 210), folds=0.01, weave=2)
    tray = box(110, 92, 1280, 700, 40)
    canvas.shadow(tray, shift=(6, 10), blur=14, opacity=0.4)
    canvas.fill(tray, (178, 188, 194), to=(150, 160, 168))
    canvas.fill(box(128, 110, 1244, 664, 30), (190, 200, 206), to=(206, 214, 218))
    gap = 1180 / len(contents)
    for n, held in enumerate(contents):
        x = 160 + gap * (n + 0.5)
        _tube(canvas, x, held, case_number, first_number + n)
    canvas.soften_edges(start=0.9, radius=4)
    mm = 0.17
    laid = scale_beside(canvas, (150, 836), scale, mm_per_unit=mm, length_mm=150, size=1.0)
    return object_truth(canvas, mm, box(160 + gap / 2 - 48, 150, 96, 590), laid)


def _tube(canvas: Canvas, x: float, held: str, case: str, number: int) -> None:
    cap, (first, last) = _CONTENTS[held]
    wide, top, low = 76.0, 250.0, 736.0
    glass = box(x - wide / 2, top, wide, low - top, 37)
    canvas.shadow(glass, shift=(12, 14), blur=12, opacity=0.42)
    canvas.fill(glass, (226, 234, 236), to=(196, 208, 212), angle=0, opacity=0.92)
    level = 400.0 + 22 * (number % 3)
    canvas.fill(
        box(x - wide / 2 + 6, level, wide - 12, low - level - 6, 31), first, to=last, angle=0
    )
    canvas.fill(
        oval(x, level, wide / 2 - 6, 5),
        (min(first[0] + 36, 255), min(first[1] + 36, 255), min(first[2] + 36, 255)),
    )
    label = box(x - wide / 2 - 1, 452, wide + 2, 206)
    canvas.fill(label, (250, 249, 244), to=(216, 214, 208), angle=0)
    canvas.text((x, 488), case, 16, (30, 30, 34), weight=600, anchor="ms")
    canvas.text((x, 552), f"S{number}", 44, (30, 30, 34), weight=700, anchor="ms")
    for n, long in enumerate((56, 44, 52)):
        canvas.fill(box(x - 28, 584 + n * 20, long, 4), (150, 152, 158))
    _round_light(canvas, x, wide, top, low)
    body = box(x - 45, 150, 90, 108, 12)
    canvas.shadow(body, shift=(10, 12), blur=9, opacity=0.42)
    dark: Color = (cap[0] * 6 // 10, cap[1] * 6 // 10, cap[2] * 6 // 10)
    canvas.fill(body, cap, to=dark, angle=0)
    for n in range(9):
        rib = x - 38 + n * 9.5
        canvas.stroke([(rib, 168), (rib, 250)], 2.2, dark, opacity=0.6, blur=0.6)
    canvas.fill(box(x - 32, 154, 16, 98, 7), (255, 255, 255), blur=5, opacity=0.4)


def _round_light(canvas: Canvas, x: float, wide: float, top: float, low: float) -> None:
    """The light and dark bands that make a tube look round."""
    canvas.fill(
        box(x - wide * 0.36, top + 12, wide * 0.13, low - top - 52, 5),
        (255, 255, 255),
        blur=2.6,
        opacity=0.62,
    )
    canvas.fill(
        box(x + wide * 0.30, top + 8, wide * 0.16, low - top - 46, 6),
        (30, 34, 40),
        blur=6,
        opacity=0.26,
    )
    canvas.fill(
        box(x + wide * 0.20, top + 12, wide * 0.04, low - top - 60, 1),
        (255, 255, 255),
        blur=2,
        opacity=0.4,
    )


def medication_label(
    *,
    text: str = "Tablets 10 mg",
    directions: str = "one tablet twice a day",
    dispensed: int = 30,
    count: int = 11,
) -> tuple[str, str, str, str]:
    """The words on the bottle, as the pharmacy and the counter wrote them."""
    return text, f"Take {directions}", f"Dispensed quantity {dispensed}", f"Counted: {count}"


def medication(
    canvas: Canvas, *, scale: bool, tone: int = 0, count: int = 11, **words: Any
) -> dict[str, Any]:
    """An amber bottle lying beside its counted tablets; `words` are those of its label."""
    del tone
    backing(canvas, (196, 202, 204), folds=0.012, weave=2.5)
    bottle = box(330, 210, 640, 350, 34)
    canvas.shadow(bottle, shift=(8, 12), blur=9, opacity=0.5)
    canvas.shadow(bottle, shift=(20, 34), blur=30, opacity=0.35)
    canvas.fill(bottle, (222, 138, 48), to=(140, 70, 18))
    canvas.fill(box(350, 228, 600, 300, 24), (176, 90, 24), to=(214, 126, 40), opacity=0.8, blur=6)
    canvas.fill(box(430, 206, 470, 358, 2), (252, 251, 246), to=(202, 200, 194))
    canvas.fill(box(430, 214, 470, 46), (92, 112, 126), to=(84, 102, 116))
    ink: Color = (34, 34, 38)
    canvas.text((452, 249), "MEDICATION AS FOUND", 27, (244, 246, 246), weight=600)
    name, directions, dispensed, counted = medication_label(count=count, **words)
    canvas.text((452, 322), name, 46, ink, weight=700)
    canvas.text((452, 370), directions, 28, ink)
    canvas.text((452, 412), dispensed, 28, ink)
    canvas.text((452, 468), "Name and pharmacy withheld", 25, (110, 110, 114))
    canvas.text((452, 534), counted, 34, (40, 56, 108), weight=600)
    canvas.fill(box(340, 236, 620, 40, 18), (255, 255, 255), blur=10, opacity=0.42)
    canvas.fill(box(340, 500, 624, 54, 20), (20, 12, 8), blur=14, opacity=0.36)
    _cap(canvas)
    _tablets(canvas, count)
    canvas.soften_edges(start=0.9, radius=5)
    mm = 0.13
    laid = scale_beside(canvas, (190, 812), scale, mm_per_unit=mm, length_mm=130, size=0.85)
    return object_truth(canvas, mm, box(190, 196, 780, 378), laid)


def _cap(canvas: Canvas) -> None:
    cap = box(190, 192, 170, 386, 22)
    canvas.shadow(cap, shift=(14, 22), blur=16, opacity=0.45)
    canvas.fill(cap, (250, 250, 248), to=(186, 188, 190))
    for n in range(17):
        y = 212 + n * 21.6
        canvas.stroke([(206, y), (330, y)], 5, (150, 152, 156), blur=1.6, opacity=0.5)
    canvas.fill(box(336, 196, 18, 378, 8), (232, 232, 230), to=(158, 160, 162))
    canvas.fill(box(196, 470, 160, 96, 18), (20, 20, 24), blur=16, opacity=0.22)


def _tablets(canvas: Canvas, count: int) -> None:
    """Counted tablets in rows of five."""
    for n in range(min(count, 30)):
        x = 1070 + (n % 5) * 78 + float(canvas.rng.uniform(-7, 7))
        y = 250 + (n // 5) * 80 + float(canvas.rng.uniform(-7, 7))
        canvas.shadow(oval(x, y, 29, 29), shift=(5, 8), blur=6, opacity=0.45)
        canvas.fill(oval(x, y + 3, 29, 29), (196, 196, 190))
        canvas.fill(oval(x, y, 29, 29), (252, 251, 246), to=(222, 220, 212), angle=60)
        turn = float(canvas.rng.uniform(0, 180))
        line = oval(x, y, 20, 0.1, turn, (0, 180))
        canvas.stroke([line[0], line[-1]], 2.6, (160, 158, 150), blur=0.7, opacity=0.8)
