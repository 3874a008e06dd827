"""Rounded forms by height: parts are laid as rounded bodies, then lit like clay."""

from collections.abc import Sequence

import numpy as np
from PIL import Image, ImageFilter

from .picture_canvas import Canvas, Color, Floats, Point, as_mask, enlarge, smoothstep

Node = tuple[float, float, float]


def blurred(values: Floats, radius: float) -> Floats:
    """Three box filters, close to a Gaussian of that radius in samples."""
    reach = max(int(radius), 1)
    out = values
    for _ in range(3):
        for axis in (0, 1):
            wide = [(reach + 1, reach) if a == axis else (0, 0) for a in (0, 1)]
            total = np.cumsum(np.pad(out, wide, mode="edge"), axis=axis, dtype=np.float64)
            size = out.shape[axis]
            ahead = np.take(total, range(2 * reach + 1, 2 * reach + 1 + size), axis=axis)
            behind = np.take(total, range(0, size), axis=axis)
            out = ((ahead - behind) / (2 * reach + 1)).astype(np.float32)
    return out


class Relief:
    """A field of heights over the frame, in pixels of its own reduced size."""

    def __init__(self, canvas: Canvas, reduce: float = 2.5) -> None:
        self.canvas = canvas
        self.reduce = reduce
        self.k = canvas.unit / reduce
        self.shape = (max(int(canvas.height / reduce), 2), max(int(canvas.width / reduce), 2))
        self.z: Floats = np.zeros(self.shape, dtype=np.float32)

    def _at(self, x: float, y: float) -> Point:
        px, py = self.canvas.px((x, y))
        return px / self.reduce, py / self.reduce

    def ellipsoid(
        self,
        x: float,
        y: float,
        rx: float,
        ry: float,
        rz: float,
        *,
        angle: float = 0.0,
        lift: float = 0.0,
        add: bool = False,
    ) -> None:
        """Lay an ellipsoid; with add it raises (or, negative, sinks) what lies there, softly."""
        cx, cy = self._at(x, y)
        reach = max(rx, ry) * self.k * (1.0 if not add else 2.2) + 1
        rows, columns = self.shape
        y0, y1 = max(int(cy - reach), 0), min(int(cy + reach) + 2, rows)
        x0, x1 = max(int(cx - reach), 0), min(int(cx + reach) + 2, columns)
        if y0 >= y1 or x0 >= x1:
            return
        # A row and a column, of which numpy makes the field: a limb is hundreds of these.
        gx = np.arange(x0, x1, dtype=np.float32) - cx
        gy = (np.arange(y0, y1, dtype=np.float32) - cy)[:, None]
        if angle:
            c, s = np.cos(np.radians(angle)), np.sin(np.radians(angle))
            gx, gy = gx * c + gy * s, -gx * s + gy * c
        u, v = gx / (rx * self.k), gy / (ry * self.k)
        d2 = u * u + v * v
        part = self.z[y0:y1, x0:x1]
        if add:
            # Rises and hollows shape what lies there; they never reach onto the backing.
            bump = np.exp(-1.6 * d2) * np.float32(rz * self.k)
            part[:] = np.where(part > 0, np.maximum(part + bump, 0.05), 0)
            return
        bump = np.sqrt(np.maximum(1 - d2, 0)) * (rz * self.k) + lift * self.k
        np.maximum(part, np.where(d2 < 1, bump, 0).astype(np.float32), out=part)

    def chain(self, nodes: Sequence[Node], *, flat: float = 0.8, lift: float = 0.0) -> None:
        """Lay a limb through nodes of (x, y, radius)."""
        line = np.asarray(nodes, dtype=float)
        ends = np.vstack([2 * line[0] - line[1], line, 2 * line[-1] - line[-2]])
        for a, b, c, d in zip(ends, ends[1:], ends[2:], ends[3:], strict=False):
            gap = np.hypot(*(c - b)[:2])
            count = max(int(gap / max(min(b[2], c[2]) * 0.06, 1.0)), 2)
            t = np.linspace(0, 1, count)[:, None]
            for x, y, r in 0.5 * (
                2 * b
                + (c - a) * t
                + (2 * a - 5 * b + 4 * c - d) * t**2
                + (3 * b - a - 3 * c + d) * t**3
            ):
                self.ellipsoid(x, y, r, r, r * flat, lift=lift)

    def light(
        self,
        color: Color,
        *,
        fuse: float = 2.0,
        shine: float = 0.12,
        shadow: float = 0.5,
        lift: Point = (10, 14),
        warm: float = 0.08,
    ) -> Image.Image:
        """Light the form from the upper left and paint it with its shadow; returns its mask."""
        solid = (self.z > 0).astype(np.float32)
        height = blurred(self.z, max(fuse * self.k, 1.0))
        dy, dx = np.gradient(height)
        size = np.sqrt(dx * dx + dy * dy + 1)
        toward = (0.42 * dx + 0.52 * dy + 0.78) / size
        lit = 0.40 + 0.66 * np.clip(toward, 0, 1)
        deep = blurred(self.z, 14 * self.k) - height
        lit *= 1 - np.clip(deep / (30 * self.k), 0, 0.45)
        gleam = np.clip((0.25 * dx + 0.32 * dy + 0.95) / size / 1.04, 0, 1) ** 24 * shine
        tone = np.asarray(color, dtype=np.float32)
        # Shaded sides of a form go a little warmer than the lit ones.
        tint = np.asarray([1 + warm, 1.0, 1 - warm], dtype=np.float32)
        mix = np.clip(lit, 0, 1)[..., None]
        pixels = tone * lit[..., None] * (tint + (1 - tint) * mix) + 255 * gleam[..., None]
        surface = Image.fromarray(np.clip(pixels, 0, 255).astype(np.uint8))
        frame = (self.canvas.width, self.canvas.height)
        crisp = enlarge(blurred(solid, 1.0), *frame)
        mask = as_mask(smoothstep(0.3, 0.7, crisp))
        if shadow:
            self._shadow(mask, shadow, lift)
        self.canvas.image.paste(surface.resize(frame, Image.Resampling.BICUBIC), (0, 0), mask)
        return mask

    def _shadow(self, mask: Image.Image, strength: float, lift: Point) -> None:
        """One close dark shadow and one wide soft one."""
        unit = self.canvas.unit
        small = mask.resize((max(mask.width // 4, 1), max(mask.height // 4, 1)))
        for spread, part, far in ((5.0, 0.75, 0.5), (22.0, 0.6, 1.0)):
            soft = small.filter(ImageFilter.GaussianBlur(spread * unit / 4))
            soft = soft.point([round(v * strength * part) for v in range(256)])
            at = (round(lift[0] * unit * far), round(lift[1] * unit * far))
            self.canvas.image.paste((22, 20, 22), at, soft.resize(mask.size))
