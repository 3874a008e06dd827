"""Invented rooms: a sitting room, a kitchen, a room after a fire."""

from typing import Any

from .picture_canvas import Canvas, Color, Point, box, curve, oval, turned
from .picture_props import FRAME, marker, scene_truth

NIGHT: Color = (20, 18, 20)


def shell(
    canvas: Canvas, wall: Color, floor: Color, *, horizon: float = 640.0, boards: bool = True
) -> None:
    """Back wall, floor in perspective, skirting and soft corners."""
    low: Color = (wall[0] * 8 // 10, wall[1] * 8 // 10, wall[2] * 8 // 10)
    canvas.fill(FRAME, wall, to=low, angle=60)
    canvas.texture(FRAME, 120, 4, 2)
    near: Color = (floor[0] * 12 // 10, floor[1] * 12 // 10, floor[2] * 12 // 10)
    ground: list[Point] = [(-1600, horizon), (3100, horizon), (3100, 1700), (-1600, 1700)]
    canvas.fill(ground, floor, to=near)
    if boards:
        canvas.texture(ground, (5, 60), 10, 2)
        for n in range(-16, 17):
            x = 750 + n * 74
            canvas.stroke([(x, horizon), (750 + n * 190, 1010)], [0.8, 3.0], NIGHT, opacity=0.35)
        for y in (672, 716, 780, 872):
            for n in range(-14, 15, 2):
                t = (y - horizon) / (1010 - horizon)
                shift = (y // 4) % 2
                at = 750 + (n + shift) * (74 + 116 * t)
                canvas.stroke([(at, y), (at + 74 + 116 * t, y)], 1 + t, NIGHT, opacity=0.3)
    canvas.fill(
        [(-1600, horizon - 26), (3100, horizon - 26), (3100, horizon), (-1600, horizon)],
        (228, 222, 212),
        to=(186, 180, 170),
    )
    canvas.fill(
        [(-1600, horizon), (3100, horizon), (3100, horizon + 40), (-1600, horizon + 40)],
        NIGHT,
        blur=16,
        opacity=0.35,
    )


def window(canvas: Canvas, x: float, y: float, wide: float, tall: float) -> None:
    """A window with a pale view, frame and light bloom."""
    canvas.fill(box(x - 14, y - 14, wide + 28, tall + 28), (240, 236, 228), to=(206, 200, 190))
    pane = box(x, y, wide, tall)
    canvas.fill(pane, (206, 220, 230), to=(238, 240, 234))
    hill = curve(
        [
            (x, y + tall * 0.7),
            (x + wide * 0.3, y + tall * 0.6),
            (x + wide * 0.7, y + tall * 0.68),
            (x + wide, y + tall * 0.58),
        ],
        closed=False,
    )
    canvas.fill(
        [*hill, (x + wide, y + tall), (x, y + tall)], (158, 178, 158), to=(132, 152, 128), blur=3
    )
    for share in (0.5,):
        canvas.fill(
            box(x + wide * share - 6, y, 12, tall), (234, 230, 222), to=(200, 194, 184), angle=0
        )
    canvas.fill(box(x, y + tall * 0.42, wide, 10), (234, 230, 222), to=(200, 194, 184))
    canvas.fill(box(x - 30, y + tall + 12, wide + 60, 20), (244, 240, 232), to=(196, 190, 180))
    canvas.fill(box(x - 24, y - 24, wide + 48, tall + 48), (255, 252, 240), blur=40, opacity=0.16)


def curtain(canvas: Canvas, x: float, y: float, wide: float, tall: float, hue: Color) -> None:
    """Hang a curtain in folds."""
    canvas.shadow(box(x, y, wide, tall), shift=(10, 6), blur=12, opacity=0.3)
    folds = 6
    dark: Color = (hue[0] * 6 // 10, hue[1] * 6 // 10, hue[2] * 6 // 10)
    for n in range(folds):
        at = x + n * wide / folds
        canvas.fill(box(at, y, wide / folds + 1, tall), hue, to=dark, angle=8)
    canvas.texture(box(x, y, wide, tall), 4, 6)


def _rug(canvas: Canvas, hue: Color) -> None:
    rug: list[Point] = [(430, 748), (1070, 748), (1200, 950), (300, 950)]
    canvas.shadow(rug, shift=(0, 6), blur=8)
    canvas.fill(rug, hue, to=(hue[0] * 12 // 10, hue[1] * 12 // 10, hue[2] * 12 // 10))
    canvas.fill([(456, 762), (1044, 762), (1156, 934), (344, 934)], (206, 190, 160), opacity=0.8)
    canvas.fill([(466, 768), (1034, 768), (1142, 926), (358, 926)], hue)
    canvas.texture(rug, (4, 6), 12, 2)


def pillow(canvas: Canvas, shape: list[Point], hue: Color) -> None:
    """Paint an upholstered part."""
    dark: Color = (hue[0] * 6 // 10, hue[1] * 6 // 10, hue[2] * 6 // 10)
    canvas.shadow(shape, shift=(4, 8), blur=10, opacity=0.35)
    canvas.fill(shape, hue, to=dark, angle=65)
    canvas.texture(shape, 5, 6)


def _sofa(canvas: Canvas, hue: Color, cushion: Color, legs: Color) -> None:
    canvas.fill(box(250, 706, 660, 44, 10), NIGHT, blur=16, opacity=0.6)
    for x in (276, 860):
        canvas.fill(box(x, 700, 22, 46), legs, to=(28, 22, 18), angle=0)
    pillow(canvas, box(252, 446, 656, 220, 46), hue)
    pillow(canvas, box(292, 578, 288, 124, 26), hue)
    pillow(canvas, box(580, 578, 288, 124, 26), hue)
    for side in (238, 856):
        pillow(canvas, box(side, 540, 66, 172, 30), hue)
    pillow(canvas, curve([(690, 482), (820, 496), (806, 606), (682, 598)]), cushion)


def lamp(canvas: Canvas, x: float, y: float) -> None:
    """A lamp standing on something at y."""
    canvas.fill(oval(x, y - 130, 210, 190), (255, 222, 160), blur=70, opacity=0.30)
    canvas.fill(oval(x, y, 34, 8), (92, 72, 52))
    canvas.fill(box(x - 5, y - 96, 10, 96), (150, 122, 84), to=(86, 66, 44), angle=0)
    canvas.fill(
        [(x - 40, y - 182), (x + 40, y - 182), (x + 66, y - 88), (x - 66, y - 88)],
        (252, 234, 196),
        to=(226, 190, 132),
    )


def table(canvas: Canvas, x: float, y: float, wide: float, tall: float) -> None:
    """Set down a small table; its top is at y."""
    canvas.fill(oval(x + wide / 2, y + tall + 6, wide * 0.6, 14), NIGHT, blur=9, opacity=0.5)
    for leg in (x + 10, x + wide - 24):
        canvas.fill(box(leg, y, 14, tall), (110, 74, 46), to=(66, 44, 28), angle=0)
    canvas.fill(box(x - 10, y - 16, wide + 20, 20, 4), (156, 110, 70), to=(104, 70, 44))


def wall_picture(canvas: Canvas, x: float, y: float, wide: float, tall: float) -> None:
    """Hang a framed landscape."""
    frame = box(x, y, wide, tall)
    canvas.shadow(frame, shift=(6, 10), blur=9)
    canvas.fill(frame, (96, 68, 44), to=(62, 44, 28))
    canvas.fill(box(x + 14, y + 14, wide - 28, tall - 28), (232, 226, 214))
    canvas.fill(box(x + 30, y + 30, wide - 60, tall - 60), (178, 192, 194), to=(206, 196, 168))
    hill = curve(
        [
            (x + 30, y + tall * 0.66),
            (x + wide * 0.4, y + tall * 0.5),
            (x + wide - 30, y + tall * 0.68),
        ],
        closed=False,
    )
    canvas.fill([*hill, (x + wide - 30, y + tall - 30), (x + 30, y + tall - 30)], (122, 134, 112))


def scene_room(canvas: Canvas, *, markers: int = 3) -> dict[str, Any]:
    """A sitting room with a sofa, a lamp and numbered markers."""
    wall = canvas.pick((206, 200, 184), (190, 200, 196), (214, 196, 176), (196, 192, 204))
    shell(canvas, wall, (122, 86, 56))
    window(canvas, 1010, 170, 270, 300)
    cloth = canvas.pick((150, 98, 84), (96, 116, 132), (168, 146, 104), (108, 122, 96))
    curtain(canvas, 946, 130, 92, 470, cloth)
    curtain(canvas, 1252, 130, 92, 470, cloth)
    wall_picture(canvas, 440, 180, 290, 200)
    canvas.fill(
        [(1010, 660), (1290, 660), (1180, 960), (820, 960)], (255, 246, 220), blur=30, opacity=0.16
    )
    _rug(canvas, canvas.pick((112, 66, 58), (72, 88, 104), (94, 98, 70)))
    sofa = canvas.pick((104, 118, 112), (132, 104, 88), (96, 104, 124), (140, 130, 112))
    _sofa(canvas, sofa, (198, 156, 92), (70, 48, 32))
    table(canvas, 60, 560, 150, 150)
    lamp(canvas, 134, 546)
    cup = box(742, 826, 34, 30, 8)
    canvas.shadow(oval(770, 856, 26, 6), blur=4)
    canvas.fill(cup, (226, 224, 216), to=(160, 158, 152), angle=0)
    canvas.fill(oval(759, 828, 17, 5), (96, 78, 62))
    for number, (x, y) in enumerate(((850, 862), (560, 900), (1130, 730), (300, 800))[:markers], 1):
        marker(canvas, x, y, number, 40 + (y - 700) * 0.12)
    canvas.soften_edges(start=0.9, radius=4)
    return scene_truth()


def scene_kitchen(canvas: Canvas, *, markers: int = 2) -> dict[str, Any]:
    """A kitchen with units, a sink beneath a window and a tiled floor."""
    shell(canvas, (212, 210, 198), (150, 140, 126), horizon=700, boards=False)
    for n in range(-14, 15):
        canvas.stroke(
            [(750 + n * 90, 700), (750 + n * 240, 1010)], [1, 3], (92, 86, 78), opacity=0.6
        )
    for y in (724, 760, 816, 906):
        canvas.stroke([(-1600, y), (3100, y)], 1 + (y - 700) / 90, (92, 86, 78), opacity=0.6)
    for row in range(4):
        for n in range(24):
            x = -160 + n * 76 + (row % 2) * 38
            tile = box(x, 372 + row * 34, 73, 31)
            gray = int(canvas.rng.integers(222, 236))
            canvas.fill(tile, (gray, gray, gray - 8), to=(gray - 22, gray - 22, gray - 30))
    window(canvas, 560, 120, 320, 230)
    for x, wide in ((-140, 300), (170, 340), (940, 270), (1220, 420)):
        _unit(canvas, x, 90, wide, 250, doors=2)
    canvas.fill(box(-300, 516, 2100, 30), NIGHT, blur=14, opacity=0.3)
    for x, wide in ((-140, 296), (160, 296), (460, 560), (1340, 340)):
        _unit(canvas, x, 534, wide, 186, doors=2)
    _stove(canvas, 1030, 534)
    canvas.fill(box(-300, 506, 2100, 34, 3), (110, 104, 98), to=(72, 68, 64))
    canvas.fill(box(-300, 506, 2100, 7), (168, 162, 154))
    canvas.fill(box(600, 500, 250, 10, 4), (206, 210, 212), to=(130, 134, 138))
    tap = curve([(724, 504), (724, 420), (748, 398), (774, 410), (776, 436)], closed=False)
    canvas.stroke(tap, 11, (120, 124, 128))
    canvas.stroke([(x - 2, y) for x, y in tap], 4, (228, 230, 232))
    _kettle(canvas, 330, 506)
    for n, hue in enumerate(((182, 106, 76), (206, 178, 112), (116, 134, 112))):
        jar = box(150 + n * 46, 444 - n * 6, 38, 62 + n * 6, 6)
        canvas.shadow(jar, shift=(5, 3), blur=5)
        canvas.fill(jar, hue, to=(hue[0] // 2, hue[1] // 2, hue[2] // 2), angle=0)
    for number, (x, y) in enumerate(((640, 872), (930, 800), (430, 800))[:markers], 1):
        marker(canvas, x, y, number, 46 + (y - 780) * 0.14)
    canvas.soften_edges(start=0.9, radius=4)
    return scene_truth()


def _unit(canvas: Canvas, x: float, y: float, wide: float, tall: float, *, doors: int) -> None:
    canvas.shadow(box(x, y, wide, tall), shift=(0, 12), blur=12, opacity=0.35)
    canvas.fill(box(x, y, wide, tall), (120, 142, 138), to=(92, 112, 110))
    each = wide / doors
    for n in range(doors):
        left = x + n * each
        canvas.fill(
            box(left + 4, y + 4, each - 8, tall - 8, 3), (148, 170, 164), to=(122, 144, 140)
        )
        canvas.fill(
            box(left + 24, y + 24, each - 48, tall - 48, 2), (118, 140, 136), to=(140, 162, 156)
        )
        canvas.fill(
            box(left + 28, y + 28, each - 56, tall - 56, 2), (138, 160, 154), to=(118, 140, 136)
        )
        knob = left + (each - 16 if n == 0 else 16)
        at = y + (tall - 30 if y < 400 else 30)
        canvas.shadow(oval(knob, at, 6, 6), shift=(2, 4), blur=3)
        canvas.fill(oval(knob, at, 6, 6), (230, 226, 214), to=(140, 134, 120))


def _stove(canvas: Canvas, x: float, y: float) -> None:
    canvas.fill(box(x, y, 300, 190, 4), (226, 226, 222), to=(180, 180, 176))
    canvas.fill(box(x + 30, y + 58, 240, 108, 8), (40, 42, 46), to=(74, 78, 84), angle=40)
    canvas.stroke([(x + 40, y + 50), (x + 260, y + 50)], 8, (150, 152, 154))
    for n in range(5):
        canvas.fill(oval(x + 50 + n * 50, y + 26, 11, 11), (60, 60, 64), to=(28, 28, 30), angle=60)
    canvas.fill(box(x + 20, y - 40, 260, 12, 4), (40, 40, 44))
    pot = box(x + 50, y - 104, 120, 66, 10)
    canvas.fill(pot, (196, 198, 202), to=(104, 106, 112), angle=0)
    canvas.fill(box(x + 42, y - 108, 136, 12, 5), (214, 216, 218), to=(120, 122, 126), angle=0)
    canvas.stroke([(x + 170, y - 88), (x + 236, y - 94)], 10, (38, 36, 38))


def _kettle(canvas: Canvas, x: float, y: float) -> None:
    body = curve(
        [
            (x, y),
            (x - 8, y - 60),
            (x + 24, y - 96),
            (x + 80, y - 96),
            (x + 112, y - 60),
            (x + 104, y),
        ]
    )
    canvas.shadow(body, shift=(9, 4), blur=8)
    canvas.fill(body, (214, 216, 218), to=(112, 114, 120), angle=10)
    canvas.stroke(
        curve([(x + 14, y - 84), (x + 52, y - 138), (x + 92, y - 84)], closed=False),
        10,
        (42, 40, 42),
    )
    canvas.fill(
        [(x + 100, y - 70), (x + 142, y - 92), (x + 146, y - 82), (x + 110, y - 44)],
        (160, 162, 166),
    )
    canvas.fill(oval(x + 24, y - 50, 9, 30), (255, 255, 255), blur=5, opacity=0.6)


def _rubble(canvas: Canvas) -> None:
    """Fallen boards and flakes of plaster."""
    for left, top, long, turn in ((1010, 740, 330, -9), (1120, 790, 260, 14), (90, 830, 280, -16)):
        plank = turned(box(left, top, long, 20), (left + long / 2, top), turn)
        canvas.shadow(plank, shift=(4, 12), blur=8, opacity=0.6)
        canvas.fill(plank, (62, 55, 50), to=(20, 18, 17), angle=80)
        canvas.texture(plank, (10, 14), 20, 2)
    for _ in range(150):
        across, down = float(canvas.rng.uniform(-60, 1560)), float(canvas.rng.uniform(690, 985))
        size = float(canvas.rng.uniform(4, 17)) * (0.5 + (down - 680) / 300)
        piece = [
            (
                across + size * float(canvas.rng.uniform(0.5, 1.3)) * dx,
                down + size * float(canvas.rng.uniform(0.2, 0.5)) * dy,
            )
            for dx, dy in ((-1, 0), (-0.3, -1), (0.8, -0.6), (1, 0.4), (-0.4, 1))
        ]
        gray = int(canvas.rng.integers(20, 96))
        canvas.shadow(piece, shift=(2, 3), blur=2, opacity=0.5)
        canvas.fill(piece, (gray + 6, gray + 3, gray))


def scene_burnt_room(canvas: Canvas, *, markers: int = 2) -> dict[str, Any]:
    """A room after a fire, suggested by soot, ash and charred furniture."""
    shell(canvas, (150, 142, 130), (66, 60, 56))
    window(canvas, 960, 170, 270, 300)
    canvas.fill(
        [(-1600, -1600), (3100, -1600), (3100, 250), (-1600, 250)],
        (30, 27, 26),
        blur=130,
        opacity=0.95,
    )
    canvas.fill([(390, 640), (610, 640), (960, -80), (0, -80)], (24, 21, 20), blur=60, opacity=0.92)
    canvas.fill(
        [(440, 640), (570, 640), (660, 420), (340, 420)], (70, 62, 56), blur=50, opacity=0.7
    )
    canvas.texture(FRAME, (70, 46), 15, 4)
    _sofa(canvas, (88, 80, 73), (60, 53, 48), (34, 30, 28))
    for x, y, wide, tall in ((320, 470, 250, 60), (600, 560, 120, 40), (300, 640, 170, 44)):
        burn = curve(
            [
                (x, y),
                (x + wide * 0.4, y - tall * 0.5),
                (x + wide, y),
                (x + wide * 0.7, y + tall),
                (x + wide * 0.2, y + tall * 0.8),
            ]
        )
        canvas.fill(burn, (16, 14, 13), blur=9, opacity=0.88)
    canvas.texture(box(262, 462, 630, 230, 30), (9, 12), 12, 3)
    for n in range(5):
        x, y = 368 + n * 42, 512 + (n % 3) * 5
        spring = curve([(x + 14 * (k % 2), y - 10 * k) for k in range(6)], closed=False)
        canvas.stroke(spring, 2.6, (142, 122, 104), opacity=0.7)
    _rubble(canvas)
    for x in (250, 860, 1240):
        canvas.fill(oval(x, 860, 190, 34), (150, 146, 140), blur=34, opacity=0.24)
    canvas.fill(
        [(940, 470), (1250, 470), (1080, 1000), (520, 1000)], (214, 224, 226), blur=60, opacity=0.16
    )
    for number, (x, y) in enumerate(((640, 860), (930, 800), (460, 910))[:markers], 1):
        marker(canvas, x, y, number, 44 + (y - 760) * 0.12)
    canvas.soften_edges(start=0.9, radius=4)
    return scene_truth()
