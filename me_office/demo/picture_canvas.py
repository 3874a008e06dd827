"""A drawing surface for synthetic pictures: soft shapes, gradients, noise and finish.

Shapes are given in units of a 1500 x 1000 stage. "cover" lets the stage fill the frame (scenes),
"contain" keeps the whole stage inside it (objects). Masks are drawn larger than needed and
reduced, because Pillow's own polygons have hard edges.
"""

from collections.abc import Sequence
from functools import lru_cache
from math import cos, pi, radians, sin
from pathlib import Path
from typing import Any

import fontpkg_source_sans_3
import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageChops, ImageDraw, ImageFilter, ImageFont

Point = tuple[float, float]
Color = tuple[int, int, int]
Floats = NDArray[np.floating[Any]]

STAGE_WIDTH = 1500.0
STAGE_HEIGHT = 1000.0
_FONT_FILE = Path(fontpkg_source_sans_3.__file__).parent / "files" / "SourceSans3[wght].ttf"


@lru_cache(maxsize=64)
def font(size_px: int, weight: int = 400) -> ImageFont.FreeTypeFont:
    """The drawn text's typeface at a pixel size and weight (200 to 900)."""
    face = ImageFont.truetype(str(_FONT_FILE), max(size_px, 4))
    face.set_variation_by_axes([weight])
    return face


@lru_cache(maxsize=256)
def _weaker(opacity: float) -> list[int]:
    """What each value of a mask becomes at an opacity of 0..1."""
    return [round(v * opacity) for v in range(256)]


def enlarge(values: Floats, width: int, height: int) -> Floats:
    """A small field of numbers enlarged smoothly to width x height."""
    image = Image.fromarray(np.ascontiguousarray(values, dtype=np.float32))
    return np.asarray(image.resize((width, height), Image.Resampling.BICUBIC), dtype=np.float32)


def noise(
    rng: np.random.Generator, shape: tuple[int, int], cell: float | Point, octaves: int = 1
) -> Floats:
    """Smooth noise of about -1..1; cell is the size of its features in samples (y, x)."""
    height, width = shape
    cell_y, cell_x = (cell, cell) if isinstance(cell, int | float) else cell
    total = np.zeros(shape, dtype=np.float32)
    gain = 1.0
    for octave in range(octaves):
        step_y, step_x = max(cell_y / 2**octave, 1.0), max(cell_x / 2**octave, 1.0)
        rows, columns = int(height / step_y) + 4, int(width / step_x) + 4
        grid = rng.uniform(-1, 1, (rows, columns)).astype(np.float32)
        grown = enlarge(grid, int(columns * step_x) + 1, int(rows * step_y) + 1)
        top, left = int(1.5 * step_y), int(1.5 * step_x)
        total += gain * grown[top : top + height, left : left + width]
        gain *= 0.5
    return total * np.float32(1.2)


def smoothstep(low: float, high: float, values: Floats) -> Floats:
    """0 below low, 1 above high, smooth between; low may exceed high."""
    t = np.clip((values - low) / (high - low), 0, 1)
    smooth: Floats = t * t * (3 - 2 * t)
    return smooth


def as_mask(alpha: Floats) -> Image.Image:
    """An 8-bit mask from values of 0..1."""
    return Image.fromarray((np.clip(alpha, 0, 1) * 255 + 0.5).astype(np.uint8))


def curve(points: Sequence[Point], *, closed: bool = True, steps: int = 12) -> list[Point]:
    """A smooth line through the points (Catmull-Rom)."""
    nodes = np.asarray(points, dtype=float)
    if closed:
        nodes = np.vstack([nodes[-1], nodes, nodes[0], nodes[1]])
    else:
        nodes = np.vstack([2 * nodes[0] - nodes[1], nodes, 2 * nodes[-1] - nodes[-2]])
    t = np.linspace(0, 1, steps, endpoint=False)[:, None]
    out: list[Point] = []
    for a, b, c, d in zip(nodes, nodes[1:], nodes[2:], nodes[3:], strict=False):
        piece = 0.5 * (
            2 * b
            + (c - a) * t
            + (2 * a - 5 * b + 4 * c - d) * t**2
            + (3 * b - a - 3 * c + d) * t**3
        )
        out.extend((float(x), float(y)) for x, y in piece)
    if not closed:
        out.append((float(nodes[-2][0]), float(nodes[-2][1])))
    return out


def oval(
    cx: float, cy: float, rx: float, ry: float, angle: float = 0.0, span: Point = (0, 360)
) -> list[Point]:
    """Points of an ellipse or an arc of it, turned by angle degrees."""
    turn = radians(angle)
    points = []
    for step in range(73):
        t = radians(span[0] + (span[1] - span[0]) * step / 72)
        x, y = rx * cos(t), ry * sin(t)
        points.append((cx + x * cos(turn) - y * sin(turn), cy + x * sin(turn) + y * cos(turn)))
    return points


def box(x: float, y: float, width: float, height: float, radius: float = 0.0) -> list[Point]:
    """A rectangle, with rounded corners when a radius is given."""
    if radius <= 0:
        return [(x, y), (x + width, y), (x + width, y + height), (x, y + height)]
    points: list[Point] = []
    corners = (
        (x + width - radius, y + radius, -90),
        (x + width - radius, y + height - radius, 0),
        (x + radius, y + height - radius, 90),
        (x + radius, y + radius, 180),
    )
    for cx, cy, start in corners:
        for step in range(9):
            t = radians(start + 90 * step / 8)
            points.append((cx + radius * cos(t), cy + radius * sin(t)))
    return points


def turned(points: Sequence[Point], about: Point, angle: float) -> list[Point]:
    """The points turned by angle degrees (clockwise on the picture) about a point."""
    c, s = cos(radians(angle)), sin(radians(angle))
    ax, ay = about
    return [(ax + (x - ax) * c - (y - ay) * s, ay + (x - ax) * s + (y - ay) * c) for x, y in points]


def ribbon(points: Sequence[Point], widths: float | Sequence[float]) -> list[Point]:
    """The outline of a line with a width that may change along it."""
    line = np.asarray(points, dtype=float)
    half = np.broadcast_to(np.asarray(widths, dtype=float) / 2, (len(line),))
    along = np.gradient(line, axis=0)
    length = np.hypot(along[:, 0], along[:, 1])
    normal = np.stack([-along[:, 1], along[:, 0]], axis=1) / np.maximum(length, 1e-9)[:, None]
    left, right = line + normal * half[:, None], line - normal * half[:, None]
    return [(float(x), float(y)) for x, y in np.vstack([left, right[::-1]])]


class Canvas:
    """A picture being painted."""

    def __init__(
        self, width: int, height: int, rng: np.random.Generator, *, fit: str = "cover"
    ) -> None:
        self.width, self.height, self.rng = width, height, rng
        choose = max if fit == "cover" else min
        self.unit = choose(width / STAGE_WIDTH, height / STAGE_HEIGHT)
        self.left = (width - STAGE_WIDTH * self.unit) / 2
        self.top = (height - STAGE_HEIGHT * self.unit) / 2
        self.image = Image.new("RGB", (width, height), (128, 128, 128))

    def pick(self, *colors: Color) -> Color:
        """One of the colors, by the seed."""
        return colors[int(self.rng.integers(len(colors)))]

    def px(self, point: Point) -> Point:
        """Stage units to pixels."""
        return (self.left + point[0] * self.unit, self.top + point[1] * self.unit)

    def mask(
        self, points: Sequence[Point], blur: float = 0.0
    ) -> tuple[Image.Image, tuple[int, int]] | None:
        """The shape's mask and the pixel at which to lay it, or None when out of the frame."""
        where = np.asarray(points, dtype=float) * self.unit + (self.left, self.top)
        soft = blur * self.unit
        margin = 3 * soft + 2
        low = np.floor(np.maximum(where.min(axis=0) - margin, (0, 0))).astype(int)
        high = np.ceil(np.minimum(where.max(axis=0) + margin, (self.width, self.height))).astype(
            int
        )
        if (high - low < 1).any():
            return None
        wide, tall = int(high[0] - low[0]), int(high[1] - low[1])
        # Blurring reaches into the frame from outside it, so the mask keeps a margin of its own.
        pad = int(np.ceil(margin)) if soft else 0
        sharp = 3.0 if wide * tall < 90_000 else 2.0
        k = min(1.0, 2.5 / soft) if soft else sharp
        size = (max(1, round((wide + 2 * pad) * k)), max(1, round((tall + 2 * pad) * k)))
        shape = Image.new("L", size, 0)
        local = (where - low + pad) * (size[0] / (wide + 2 * pad), size[1] / (tall + 2 * pad))
        # Pillow's polygon paints its edge pixels too; half a sample inward keeps the true size.
        ImageDraw.Draw(shape).polygon((local - 0.5).ravel().tolist(), fill=255)
        if soft:
            shape = shape.filter(ImageFilter.GaussianBlur(soft * k))
        how = Image.Resampling.BOX if k > 1 else Image.Resampling.BILINEAR
        shape = shape.resize((wide + 2 * pad, tall + 2 * pad), how)
        if pad:
            shape = shape.crop((pad, pad, pad + wide, pad + tall))
        return shape, (int(low[0]), int(low[1]))

    def fill(
        self,
        points: Sequence[Point],
        color: Color,
        *,
        to: Color | None = None,
        angle: float = 90.0,
        blur: float = 0.0,
        opacity: float = 1.0,
    ) -> None:
        """Paint a shape in a color, or in a gradient to a second one along angle degrees."""
        found = self.mask(points, blur)
        if found is None:
            return
        mask, at = found
        if opacity < 1:
            mask = mask.point(_weaker(opacity))
        if to is None:
            self.image.paste(color, (*at, at[0] + mask.width, at[1] + mask.height), mask)
            return
        self.image.paste(_gradient(mask.size, color, to, angle), at, mask)

    def stroke(
        self,
        points: Sequence[Point],
        width: float | Sequence[float],
        color: Color,
        *,
        blur: float = 0.0,
        opacity: float = 1.0,
    ) -> None:
        """Paint a line."""
        self.fill(ribbon(points, width), color, blur=blur, opacity=opacity)

    def shadow(
        self,
        points: Sequence[Point],
        *,
        shift: Point = (6, 9),
        blur: float = 9.0,
        opacity: float = 0.35,
        color: Color = (18, 16, 18),
    ) -> None:
        """A soft shadow that the shape throws."""
        moved = [(x + shift[0], y + shift[1]) for x, y in points]
        self.fill(moved, color, blur=blur, opacity=opacity)

    def shade(self, factor: Floats) -> None:
        """Multiply the picture by a small field of light (1 is unchanged, at most 1)."""
        light = as_mask(enlarge(factor, self.width, self.height))
        self.image = ImageChops.multiply(self.image, Image.merge("RGB", (light, light, light)))

    def relief(self, values: Floats, strength: float) -> None:
        """Add a field of about -1..1 to all three colors, enlarged to the frame."""
        grown = Image.fromarray(np.clip(values * strength + 128, 0, 255).astype(np.uint8)).resize(
            (self.width, self.height), Image.Resampling.BICUBIC
        )
        self.image = ImageChops.add(self.image, Image.merge("RGB", (grown, grown, grown)), 1, -128)

    def texture(
        self, points: Sequence[Point], cell: float | Point, strength: float, octaves: int = 2
    ) -> None:
        """Give a shape a mottled surface."""
        found = self.mask(points)
        if found is None:
            return
        mask, at = found
        small = (max(mask.height // 2, 1), max(mask.width // 2, 1))
        per = self.unit / 2
        size = cell * per if isinstance(cell, int | float) else (cell[0] * per, cell[1] * per)
        field = noise(self.rng, small, size, octaves)
        grown = Image.fromarray(np.clip(field * strength + 128, 0, 255).astype(np.uint8))
        grown = grown.resize(mask.size, Image.Resampling.BILINEAR)
        area = self.image.crop((*at, at[0] + mask.width, at[1] + mask.height))
        rough = ImageChops.add(area, Image.merge("RGB", (grown, grown, grown)), 1, -128)
        self.image.paste(rough, at, mask)

    def text(
        self,
        at: Point,
        words: str,
        size: float,
        color: Color,
        *,
        weight: int = 400,
        anchor: str = "ls",
    ) -> None:
        """Write words at a point in stage units."""
        face = font(round(size * self.unit), weight)
        ImageDraw.Draw(self.image).text(self.px(at), words, color, face, anchor)

    def soften_edges(self, *, start: float = 0.62, radius: float = 7.0) -> None:
        """Let the picture fall out of focus toward its edges."""
        quarter = (max(self.width // 4, 1), max(self.height // 4, 1))
        soft = self.image.resize(quarter, Image.Resampling.BOX)
        soft = soft.filter(ImageFilter.GaussianBlur(radius * self.unit / 4)).resize(
            (self.width, self.height), Image.Resampling.BILINEAR
        )
        away = _from_center(96, 64)
        mask = as_mask(enlarge(smoothstep(start, 1.2, away), self.width, self.height))
        self.image.paste(soft, (0, 0), mask)

    def finish(self, *, vignette: float = 0.2, grain: float = 2.4) -> None:
        """Darken the corners slightly and add the sensor's grain."""
        self.shade(1 - vignette * smoothstep(0.45, 1.35, _from_center(96, 64)))
        size = min(self.height, 512), min(self.width, 768)
        tile = self.rng.normal(128.0, grain, size).astype(np.uint8)
        rows, columns = -(-self.height // 512), -(-self.width // 768)
        grains = Image.fromarray(
            np.ascontiguousarray(np.tile(tile, (rows, columns))[: self.height, : self.width])
        )
        self.image = ImageChops.add(
            self.image, Image.merge("RGB", (grains, grains, grains)), 1, -128
        )


@lru_cache(maxsize=4)
def _from_center(width: int, height: int) -> Floats:
    """Distance from the center of the frame; 1 at the middle of each edge."""
    y, x = np.mgrid[-1 : 1 : height * 1j, -1 : 1 : width * 1j].astype(np.float32)
    away: Floats = np.hypot(x, y).astype(np.float32)
    return away


def _gradient(size: tuple[int, int], first: Color, last: Color, angle: float) -> Image.Image:
    """A linear gradient image; angle 90 runs downward, 0 to the right."""
    c, s = cos(angle * pi / 180), sin(angle * pi / 180)
    steps = np.linspace(0, 1, 48, dtype=np.float32)
    along = steps * c + steps[:, None] * s
    t = (along - along.min()) / max(float(along.max() - along.min()), 1e-6)
    start, end = np.asarray(first, dtype=np.float32), np.asarray(last, dtype=np.float32)
    pixels = start + (end - start) * t[..., None]
    return Image.fromarray(pixels.astype(np.uint8)).resize(size, Image.Resampling.BILINEAR)
