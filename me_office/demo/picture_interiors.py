"""More invented rooms: a bedroom with a crib, an armchair, a day room, a cabin, a hall."""

from typing import Any

from .picture_canvas import Canvas, Color, Point, box, curve, oval
from .picture_props import FRAME, marker, scene_truth
from .picture_rooms import NIGHT, curtain, lamp, pillow, shell, table, wall_picture, window


def _markers(canvas: Canvas, places: tuple[Point, ...], count: int) -> None:
    for number, (x, y) in enumerate(places[:count], 1):
        marker(canvas, x, y, number, 40 + (y - 700) * 0.12)


def scene_armchair(canvas: Canvas, *, markers: int = 0) -> dict[str, Any]:
    """A living room with an armchair and a television that is on."""
    shell(canvas, (206, 198, 178), (118, 84, 58))
    window(canvas, 150, 160, 230, 290)
    curtain(canvas, 92, 120, 84, 480, (142, 104, 88))
    curtain(canvas, 352, 120, 84, 480, (142, 104, 88))
    wall_picture(canvas, 560, 190, 220, 170)
    hue: Color = (116, 96, 84)
    canvas.fill(box(440, 800, 420, 44, 10), NIGHT, blur=16, opacity=0.6)
    for x in (470, 800):
        canvas.fill(box(x, 784, 24, 48), (70, 48, 32), to=(28, 22, 18), angle=0)
    pillow(canvas, box(470, 430, 360, 300, 60), hue)
    pillow(canvas, box(500, 640, 300, 130, 26), hue)
    for side in (424, 790):
        pillow(canvas, box(side, 580, 86, 214, 36), hue)
    table(canvas, 920, 620, 130, 150)
    lamp(canvas, 984, 606)
    canvas.fill(box(1130, 700, 330, 30, 8), NIGHT, blur=14, opacity=0.5)
    canvas.fill(box(1140, 600, 310, 120, 6), (128, 92, 60), to=(82, 56, 36))
    canvas.fill(oval(1296, 500, 260, 180), (150, 190, 240), blur=60, opacity=0.30)
    canvas.fill(box(1136, 402, 320, 196, 8), (26, 26, 30))
    canvas.fill(box(1148, 414, 296, 172, 3), (96, 142, 190), to=(182, 206, 214), angle=50)
    hill: list[Point] = [(1150, 560), (1230, 510), (1320, 540), (1440, 500)]
    canvas.fill([*hill, (1440, 584), (1150, 584)], (86, 120, 92), blur=3)
    _markers(canvas, ((700, 900), (1050, 860)), markers)
    canvas.soften_edges(start=0.9, radius=4)
    return scene_truth()


def scene_day_room(canvas: Canvas, *, markers: int = 0) -> dict[str, Any]:
    """A bare day room: cell doors, a steel table with fixed stools, a camera."""
    shell(canvas, (186, 190, 186), (132, 134, 132), boards=False)
    canvas.fill([(-1600, 470), (3100, 470), (3100, 614), (-1600, 614)], (128, 142, 146))
    for n, x in enumerate((90, 430, 770, 1110)):
        canvas.shadow(box(x, 210, 220, 430), shift=(6, 4), blur=9)
        canvas.fill(box(x, 210, 220, 430, 4), (96, 110, 118), to=(70, 82, 90))
        canvas.fill(box(x + 70, 262, 80, 96, 6), (30, 36, 42), to=(56, 66, 72))
        canvas.fill(box(x + 52, 470, 116, 28, 4), (52, 60, 66))
        canvas.fill(oval(x + 198, 440, 9, 9), (196, 198, 198), to=(110, 112, 114))
        canvas.text((x + 110, 196), str(n + 2), 40, (52, 58, 62), weight=700, anchor="ms")
    canvas.fill(box(690, 66, 90, 34, 8), (228, 228, 226), to=(170, 172, 174))
    canvas.fill(oval(735, 108, 30, 24), (26, 26, 30))
    canvas.fill(oval(728, 104, 8, 6), (150, 160, 170), blur=2)
    canvas.fill(oval(750, 880, 330, 40), NIGHT, blur=18, opacity=0.45)
    canvas.fill(box(724, 740, 52, 140), (120, 124, 128), to=(70, 74, 78), angle=0)
    canvas.fill(oval(750, 736, 250, 48), (196, 200, 202), to=(146, 150, 154), angle=70)
    canvas.fill(oval(750, 730, 250, 44), (214, 218, 220), to=(168, 172, 176), angle=70)
    for x, y in ((430, 850), (1070, 850), (620, 936), (880, 936)):
        canvas.stroke([(x, y), (750 + (x - 750) * 0.25, 872)], 14, (104, 108, 112))
        canvas.fill(box(x - 9, y - 66, 18, 66), (104, 108, 112), to=(66, 70, 74), angle=0)
        canvas.fill(oval(x, y - 68, 62, 17), (188, 192, 194), to=(132, 136, 140), angle=70)
    _markers(canvas, ((240, 820), (1290, 820)), markers)
    canvas.soften_edges(start=0.9, radius=4)
    return scene_truth()


def scene_cabin(canvas: Canvas, *, markers: int = 3) -> dict[str, Any]:
    """One room of boards: a table, an empty chair, a cold stove, a small hole in the wall."""
    shell(canvas, (150, 112, 76), (104, 74, 48))
    for y in range(-300, 620, 58):
        canvas.stroke([(-1600, y), (3100, y)], 4, (58, 38, 24), blur=1.4, opacity=0.7)
        canvas.stroke([(-1600, y + 5), (3100, y + 5)], 2, (206, 166, 118), blur=1.4, opacity=0.4)
    canvas.texture(FRAME, (4, 120), 9, 2)
    window(canvas, 190, 150, 220, 220)
    canvas.fill(box(1150, 700, 270, 40, 10), NIGHT, blur=16, opacity=0.6)
    canvas.fill(box(1262, -300, 46, 740), (52, 52, 56), to=(26, 26, 28), angle=0)
    canvas.fill(box(1160, 436, 250, 280, 10), (58, 58, 62), to=(30, 30, 34), angle=30)
    canvas.fill(box(1196, 520, 178, 116, 8), (26, 26, 28), to=(44, 44, 48))
    canvas.stroke([(1212, 650), (1358, 650)], 7, (120, 118, 114))
    canvas.fill(oval(930, 470, 11, 10), (12, 10, 9))
    canvas.stroke(oval(930, 470, 15, 13), 3, (210, 178, 136), opacity=0.7)
    wood: Color = (134, 92, 56)
    canvas.fill(oval(880, 830, 150, 24), NIGHT, blur=14, opacity=0.5)
    for x, y, tall in ((806, 500, 330), (950, 500, 330), (780, 680, 160), (972, 680, 160)):
        canvas.fill(box(x, y, 18, tall), wood, to=(74, 48, 28), angle=0)
    for y in (520, 568, 616):
        canvas.fill(box(806, y, 160, 24, 5), (158, 112, 70), to=(104, 70, 42))
    canvas.fill([(796, 672), (976, 672), (1000, 706), (770, 706)], (168, 120, 76), to=(120, 82, 50))
    canvas.fill(oval(470, 900, 330, 34), NIGHT, blur=18, opacity=0.5)
    for x in (230, 690):
        canvas.fill(box(x, 730, 26, 176), wood, to=(70, 46, 28), angle=0)
    canvas.fill([(260, 680), (690, 680), (760, 744), (190, 744)], (176, 130, 84), to=(140, 98, 60))
    canvas.fill(box(190, 744, 570, 22, 3), (112, 76, 46))
    _carbine(canvas)
    _markers(canvas, ((340, 716), (930, 900), (1080, 860)), markers)
    canvas.soften_edges(start=0.9, radius=4)
    return scene_truth()


def _carbine(canvas: Canvas) -> None:
    """A long gun of no make, and a cleaning rod, on the table."""
    stock: list[Point] = [(400, 722), (410, 700), (480, 704), (520, 700), (520, 712), (470, 718)]
    canvas.shadow(stock, shift=(3, 6), blur=4)
    canvas.fill(stock, (96, 60, 34), to=(58, 36, 22))
    canvas.stroke([(516, 706), (690, 700)], 7, (44, 46, 50))
    canvas.stroke([(516, 704), (690, 698)], 2, (140, 144, 150))
    canvas.stroke([(400, 734), (640, 730)], 3, (188, 176, 130))


def scene_hall(canvas: Canvas, *, markers: int = 1) -> dict[str, Any]:
    """A narrow hall with a coat rail and an open door to dark stairs."""
    shell(canvas, (198, 190, 172), (130, 112, 92), boards=False)
    for n in range(-10, 11):
        canvas.stroke([(750 + n * 84, 640), (750 + n * 220, 1010)], [1, 3], NIGHT, opacity=0.35)
    for y in (672, 722, 796, 900):
        canvas.stroke([(-1600, y), (3100, y)], 1 + (y - 640) / 120, NIGHT, opacity=0.35)
    canvas.fill(box(596, 90, 308, 556), (236, 230, 218), to=(196, 188, 174))
    canvas.fill(box(622, 116, 256, 528), (34, 30, 28), to=(10, 9, 9))
    for n in range(5):
        y = 560 - n * 8 + n * 26
        if y < 644:
            canvas.fill(box(630 + n * 6, y, 240 - n * 12, 12), (88, 74, 60), opacity=0.9 - n * 0.16)
    canvas.stroke([(646, 400), (700, 640)], 9, (122, 92, 62), opacity=0.8)
    door: list[Point] = [(904, 92), (1096, 40), (1096, 760), (904, 650)]
    canvas.shadow(door, shift=(10, 8), blur=14)
    canvas.fill(door, (214, 204, 186), to=(168, 158, 140), angle=0)
    for top, low in ((0.10, 0.42), (0.52, 0.90)):
        panel = [(934, 92 + 560 * top), (1066, 60 + 680 * top), (1066, 60 + 680 * low),
                 (934, 92 + 560 * low)]  # fmt: skip
        canvas.fill(panel, (188, 178, 160), to=(206, 198, 180), angle=0)
    canvas.fill(oval(1076, 410, 11, 13), (196, 172, 110), to=(120, 98, 56))
    canvas.fill(box(150, 230, 330, 18, 4), (122, 84, 54))
    for x, hue in ((190, (86, 96, 110)), (300, (128, 82, 66)), (410, (104, 108, 88))):
        canvas.stroke([(x, 240), (x, 266)], 7, (70, 66, 60))
        coat = curve([(x - 20, 262), (x + 20, 262), (x + 52, 330), (x + 56, 560), (x - 56, 560),
                      (x - 52, 330)])  # fmt: skip
        canvas.shadow(coat, shift=(8, 8), blur=9)
        canvas.fill(coat, hue, to=(hue[0] // 2, hue[1] // 2, hue[2] // 2), angle=20)
        canvas.texture(coat, (8, 4), 9, 2)
    table(canvas, 1200, 560, 180, 150)
    lamp(canvas, 1290, 546)
    _markers(canvas, ((760, 820), (520, 860)), markers)
    canvas.soften_edges(start=0.9, radius=4)
    return scene_truth()


def scene_bedroom_crib(canvas: Canvas, *, markers: int = 1) -> dict[str, Any]:
    """A bedroom with an empty crib, a chest of drawers and a lamp."""
    wall = canvas.pick((196, 208, 206), (212, 206, 186), (206, 200, 212))
    shell(canvas, wall, (156, 122, 88))
    for n in range(-6, 40):
        canvas.fill(box(-300 + n * 60, -400, 26, 1014), (220, 228, 224), opacity=0.4)
    window(canvas, 130, 150, 230, 270)
    curtain(canvas, 66, 110, 84, 500, (206, 188, 150))
    curtain(canvas, 340, 110, 84, 500, (206, 188, 150))
    wall_picture(canvas, 700, 150, 190, 160)
    canvas.fill(box(1080, 690, 340, 40, 10), NIGHT, blur=14, opacity=0.5)
    canvas.fill(box(1070, 470, 340, 240, 6), (226, 218, 204), to=(184, 174, 158), angle=20)
    for n in range(3):
        y = 486 + n * 74
        canvas.fill(box(1086, y, 308, 64, 4), (236, 230, 218), to=(208, 200, 186))
        canvas.stroke([(1086, y + 64), (1394, y + 64)], 2, (120, 110, 96), opacity=0.6)
        for x in (1160, 1320):
            canvas.fill(oval(x, y + 32, 8, 8), (160, 124, 84), to=(96, 72, 48), angle=60)
    canvas.fill(box(1056, 456, 368, 18, 4), (240, 234, 222), to=(200, 190, 174))
    lamp(canvas, 1170, 458)
    _crib(canvas)
    for number, (x, y) in enumerate(((640, 900), (1010, 820))[:markers], 1):
        marker(canvas, x, y, number, 44 + (y - 760) * 0.12)
    canvas.soften_edges(start=0.9, radius=4)
    return scene_truth()


def _crib(canvas: Canvas) -> None:
    """An empty crib: a firm mattress, a fitted sheet and one thin blanket turned down."""
    wood, deep = (222, 190, 144), (166, 130, 88)
    canvas.fill([(470, 800), (960, 800), (1010, 840), (430, 840)], NIGHT, blur=20, opacity=0.5)
    for n in range(15):
        canvas.fill(box(500 + n * 31, 430, 9, 200), (186, 152, 108), to=(150, 118, 80), angle=0)
    canvas.fill(box(486, 414, 460, 20, 8), wood, to=deep)
    mattress: list[Point] = [(496, 600), (938, 600), (986, 690), (446, 690)]
    canvas.fill(mattress, (250, 248, 242), to=(226, 224, 218))
    canvas.fill(
        [(446, 690), (986, 690), (980, 742), (452, 742)], (226, 222, 214), to=(180, 176, 168)
    )
    for points in ([(520, 640), (620, 652), (700, 640)], [(760, 668), (840, 650), (920, 662)]):
        canvas.stroke(
            curve([(float(x), float(y)) for x, y in points], closed=False),
            9,
            (130, 128, 124),
            blur=5,
            opacity=0.4,
        )
    blanket: list[Point] = [(640, 622), (944, 618), (982, 688), (648, 689)]
    canvas.shadow(blanket, shift=(0, 3), blur=3, opacity=0.25)
    canvas.fill(blanket, (206, 216, 220), to=(186, 200, 206), opacity=0.92)
    canvas.texture(blanket, (2, 3), 5, 1)
    canvas.stroke([(640, 622), (648, 689)], 5, (160, 178, 188), blur=0.8)
    for a, b in (((700, 624), (716, 686)), ((800, 622), (822, 686)), ((890, 620), (916, 686))):
        canvas.stroke([a, b], 4, (140, 156, 166), blur=3, opacity=0.35)
    for n in range(17):
        x = 456 + n * 33
        bar = box(x, 496, 11, 300)
        canvas.fill([(a + 6, b) for a, b in bar], NIGHT, blur=4, opacity=0.18)
        canvas.fill(bar, wood, to=deep, angle=0)
    for y, tall in ((478, 24), (782, 24)):
        canvas.fill(box(430, y, 580, tall, 10), (236, 206, 162), to=deep)
    for x in (424, 990):
        canvas.fill(box(x, 440, 26, 400, 8), (236, 206, 162), to=deep, angle=0)
