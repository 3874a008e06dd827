"""A patch of skin on which marks are painted at true size."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from math import cos, radians, sin
from typing import Any

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageChops, ImageFilter

from .picture_canvas import Canvas, Color, Floats, Point, as_mask, noise, smoothstep
from .picture_labels import ScalePlace, lay_scale

TONES: tuple[Color, ...] = (
    (232, 200, 182),
    (217, 178, 152),
    (198, 155, 127),
    (167, 121, 94),
    (136, 96, 73),
    (106, 75, 60),
)
SHEET: Color = (92, 112, 118)


@dataclass(frozen=True)
class Part:
    """One mark: its outline in pixels and its size, measured on the outline."""

    outline_px: list[Point]
    length_mm: float
    width_mm: float
    length_px: tuple[Point, Point]

    def truth(self) -> dict[str, Any]:
        """The mark as plain values."""
        return {
            "outline_px": self.outline_px,
            "length_mm": self.length_mm,
            "width_mm": self.width_mm,
            "length_px": self.length_px,
        }


@dataclass(frozen=True)
class Grid:
    """Part of the picture in the mark's own axes: u along, v across, in mm."""

    u: Floats
    v: Floats
    box: tuple[int, int, int, int]
    step: int


def longest(points: Sequence[Point] | NDArray[np.float64]) -> tuple[float, float, int, int]:
    """The greatest distance in a set of points, the extent across it, and its two ends."""
    nodes = np.asarray(points, dtype=float)
    apart = np.hypot(*(nodes[:, None, :] - nodes[None, :, :]).transpose(2, 0, 1))
    a, b = np.unravel_index(int(np.argmax(apart)), apart.shape)
    length = float(apart[a, b])
    along = (nodes[b] - nodes[a]) / max(length, 1e-9)
    across = nodes @ np.asarray([-along[1], along[0]])
    return length, float(across.max() - across.min()), int(a), int(b)


@dataclass(frozen=True)
class Shape:
    """A closed outline about its middle, in mm, seen from which rho is 1 on the outline."""

    points: list[Point]
    angles: Floats = field(repr=False)
    radii: Floats = field(repr=False)

    def rho(self, u: Floats, v: Floats) -> Floats:
        """Distance from the middle as a part of the outline's radius in that direction."""
        reach = np.interp(np.arctan2(v, u), self.angles, self.radii)
        return (np.hypot(u, v) / reach).astype(np.float32)


def blob(
    rng: np.random.Generator, length: float, width: float, rough: float = 0.06, power: float = 2.0
) -> Shape:
    """An irregular rounded outline of a given greatest length; power 1.2 is a spindle."""
    theta = np.linspace(-np.pi, np.pi, 145)
    c, s = np.abs(np.cos(theta)) + 1e-9, np.abs(np.sin(theta)) + 1e-9
    radius = (c**power + (s * length / width) ** power) ** (-1 / power)
    for wave in range(2, 9):
        radius *= 1 + rough * rng.uniform(-1, 1) * 1.6 / wave * np.cos(
            wave * theta + rng.uniform(0, 2 * np.pi)
        )
    nodes = np.stack([radius * np.cos(theta), radius * np.sin(theta)], axis=1)
    radius *= length / longest(nodes)[0]
    points = [
        (float(r * np.cos(t)), float(r * np.sin(t)))
        for r, t in zip(radius[:-1], theta[:-1], strict=True)
    ]
    return Shape(points, theta.astype(np.float32), radius.astype(np.float32))


class Skin:
    """The painted skin and its plane."""

    def __init__(self, canvas: Canvas, *, field_mm: float, tone: int, surface: str) -> None:
        self.canvas = canvas
        self.rng = canvas.rng
        self.mm_per_px = field_mm / max(canvas.width, canvas.height)
        self.tone = tone
        self.color = TONES[tone]
        self.middle = (canvas.width * 0.525, canvas.height * 0.44)
        self._paint(surface)

    def place(self, u: float, v: float, center: Point = (0, 0), angle: float = 0) -> Point:
        """The pixel of a point given in mm along a mark's own axes."""
        c, s = cos(radians(angle)), sin(radians(angle))
        x = center[0] + u * c - v * s
        y = center[1] + u * s + v * c
        return (self.middle[0] + x / self.mm_per_px, self.middle[1] + y / self.mm_per_px)

    def part(self, points: Sequence[Point], center: Point = (0, 0), angle: float = 0) -> Part:
        """The truth about a mark whose outline is given in mm."""
        length, width, a, b = longest(points)
        outline = [self.place(u, v, center, angle) for u, v in points]
        ends = (outline[a], outline[b])
        return Part(outline, round(length, 3), round(width, 3), ends)

    def grid(
        self, half_u: float, half_v: float, center: Point = (0, 0), angle: float = 0, step: int = 2
    ) -> Grid:
        """The axes over a mark's surroundings; step is pixels to a sample."""
        corners = [
            self.place(u, v, center, angle) for u in (-half_u, half_u) for v in (-half_v, half_v)
        ]
        xs, ys = [p[0] for p in corners], [p[1] for p in corners]
        x0, y0 = max(int(min(xs)), 0), max(int(min(ys)), 0)
        x1 = min(int(max(xs)) + 1, self.canvas.width)
        y1 = min(int(max(ys)) + 1, self.canvas.height)
        x1, y1 = max(x1, x0 + 1), max(y1, y0 + 1)
        rows, columns = -(-(y1 - y0) // step), -(-(x1 - x0) // step)
        zero = self.place(0, 0, center, angle)
        y, x = np.mgrid[0:rows, 0:columns].astype(np.float32)
        x = (x0 + (x + 0.5) * (x1 - x0) / columns - zero[0]) * self.mm_per_px
        y = (y0 + (y + 0.5) * (y1 - y0) / rows - zero[1]) * self.mm_per_px
        c, s = cos(radians(angle)), sin(radians(angle))
        return Grid(
            (x * c + y * s).astype(np.float32),
            (-x * s + y * c).astype(np.float32),
            (x0, y0, x1, y1),
            step,
        )

    def mottle(self, grid: Grid, cell_mm: float, octaves: int = 2) -> Floats:
        """Noise over a grid with features of a size in mm."""
        return noise(self.rng, grid.u.shape, cell_mm / self.mm_per_px / grid.step, octaves)

    def tint(self, grid: Grid, alpha: Floats, through: tuple[float, float, float]) -> None:
        """Color lying in the skin: the skin's own color shows through it."""
        area = self.canvas.image.crop(grid.box)
        color = tuple(round(255 * part) for part in through)
        stained = ImageChops.multiply(area, Image.new("RGB", area.size, color))
        self.canvas.image.paste(stained, grid.box, self._mask(grid, alpha))

    def cover(self, grid: Grid, alpha: Floats, color: Color) -> None:
        """Color lying on the skin."""
        self.canvas.image.paste(color, grid.box, self._mask(grid, alpha))

    def _mask(self, grid: Grid, alpha: Floats) -> Image.Image:
        x0, y0, x1, y1 = grid.box
        return as_mask(alpha).resize((x1 - x0, y1 - y0), Image.Resampling.BICUBIC)

    def _paint(self, surface: str) -> None:
        """Tone, uneven redness, roundness and light, at a quarter of the size."""
        canvas, rng = self.canvas, self.rng
        rows, columns = max(canvas.height // 4, 8), max(canvas.width // 4, 8)
        y, x = np.mgrid[-1 : 1 : rows * 1j, -1.5 : 1.5 : columns * 1j].astype(np.float32)
        per_mm = 1 / (self.mm_per_px * 4)
        cloud = noise(rng, (rows, columns), rows * 0.45, 3)
        spots = noise(rng, (rows, columns), max(2.6 * per_mm, 1.5), 2)
        red = noise(rng, (rows, columns), max(11 * per_mm, 3), 2)
        light = 1.07 - 0.11 * ((x + 0.35) ** 2 * 0.6 + (y + 0.3) ** 2) - 0.03 * (x + y)
        value = light * (1 + 0.018 * cloud + 0.012 * spots)
        tone = np.asarray(self.color, dtype=np.float32)
        pixels = tone * value[..., None]
        pixels += red[..., None] * np.asarray([1.5, -2.2, -1.8], dtype=np.float32)
        if surface == "limb":
            pixels = self._limb(pixels, x, y)
        image = Image.fromarray(np.clip(pixels, 0, 255).astype(np.uint8))
        canvas.image = image.resize((canvas.width, canvas.height), Image.Resampling.BICUBIC)
        self._freckles()

    def _limb(self, pixels: Floats, x: Floats, y: Floats) -> Floats:
        """Round the skin off as a limb lying across a cloth."""
        rng = self.rng
        slope, taper = rng.uniform(-0.05, 0.05), rng.uniform(0.02, 0.07)
        bend = 0.02 * np.sin(x * 1.7 + rng.uniform(0, 6))
        off = (y + 0.10 - slope * x - bend) / (0.86 - taper * x)
        round_off = np.sqrt(np.clip(1 - off**2, 0, 1))
        pixels = pixels * (0.50 + 0.52 * np.clip(round_off - 0.10 * off, 0, 1))[..., None]
        folds = noise(rng, (x.shape[0], x.shape[1]), (x.shape[0] * 0.11, x.shape[1] * 0.5), 2)
        shade = 1 + 0.09 * folds - 0.55 * smoothstep(1.35, 0.98, np.abs(off - 0.05))
        cloth = np.asarray(SHEET, dtype=np.float32) * np.clip(shade, 0.2, 1.4)[..., None]
        edge = smoothstep(1.005, 0.985, np.abs(off))[..., None]
        laid: Floats = (pixels * edge + cloth * (1 - edge)).astype(np.float32)
        return laid

    def _freckles(self) -> None:
        """A few pigment spots, so that no two patches look alike."""
        wide = self.canvas.width * self.mm_per_px
        for _ in range(int(self.rng.integers(5, 12))):
            at = (self.rng.uniform(-0.5, 0.45) * wide, self.rng.uniform(-0.28, 0.33) * wide)
            size = self.rng.uniform(0.5, 1.3) * min(wide / 150, 1.6)
            spot = self.grid(size * 2, size * 2, at, 0, 2)
            alpha = smoothstep(1.25, 0.5, np.hypot(spot.u, spot.v) / size)
            self.tint(spot, alpha * self.rng.uniform(0.35, 0.8), (0.80, 0.70, 0.62))

    def furrow(self) -> None:
        """The fine relief of skin, lit from the side."""
        cell = max(0.75 / (self.mm_per_px * 2), 1.6)
        # White noise between two blurs has no direction, unlike noise grown from a lattice.
        grains = self.rng.integers(0, 256, (400, 640), dtype=np.uint8)
        fine, wide = (
            np.asarray(
                Image.fromarray(grains).filter(ImageFilter.GaussianBlur(cell * part)),
                dtype=np.float32,
            )
            for part in (0.26, 0.75)
        )
        height = np.abs((fine - wide) / max(float((fine - wide).std()), 1e-3))
        slope = np.zeros_like(height)
        slope[1:, 1:] = height[:-1, :-1] - height[1:, 1:]
        slope /= max(float(slope.std()), 1e-3)
        strength = 1.9 * min(cell / 3, 1.0) * (0.8 if self.tone > 3 else 1.0)
        rows, columns = self.canvas.height // 2, self.canvas.width // 2
        mirrored = np.block([[slope, slope[:, ::-1]], [slope[::-1], slope[::-1, ::-1]]])
        again = (-(-rows // mirrored.shape[0]), -(-columns // mirrored.shape[1]))
        self.canvas.relief(np.clip(np.tile(mirrored, again)[:rows, :columns], -3, 3), strength)

    def lay_scale(self, parts: Sequence[Part], *, form: str, angle: float | None) -> ScalePlace:
        """Put a scale beside the marks, its arms clear of them."""
        xs = [x for part in parts for x, _ in part.outline_px]
        ys = [y for part in parts for _, y in part.outline_px]
        wide, tall = self.canvas.width, self.canvas.height
        size = float(np.clip(wide * self.mm_per_px / 150, 0.45, 2.0))
        if angle is None:
            angle = float(np.round(self.rng.uniform(-1.6, 1.6), 2))
        arm = 14 * size / self.mm_per_px
        x = float(np.clip(min(xs) - 0.04 * wide, arm * 1.08, wide * 0.4))
        y = float(np.clip(max(ys) + 0.07 * tall, tall * 0.4, tall - arm * 1.35))
        across = (wide * 0.93 - x) * self.mm_per_px * 0.86
        up = (y - tall * 0.14) * self.mm_per_px * 0.92
        place = ScalePlace(
            (round(x) + 0.0, round(y) + 0.0),
            self.mm_per_px,
            int(across // 10) * 10 or 10,
            max(int(up // 10) * 10, 10) if form == "right_angle" else 0,
            angle,
            size,
        )
        lay_scale(self.canvas, place)
        return place
