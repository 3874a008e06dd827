"""Scales and case tags laid into a synthetic picture."""

from dataclasses import dataclass
from math import cos, radians, sin
from typing import Any

import numpy as np
from PIL import Image, ImageDraw, ImageFilter

from .picture_canvas import Canvas, Point, font

CARD = (240, 239, 234)
INK = (24, 24, 26)
_OFFICE = "Tarn County Medical Examiner"
_ARM_MM = 14.0
_SPARE_MM = 4.0
_TICK_MM = {10: 5.2, 5: 3.6, 1: 2.2}


@dataclass(frozen=True)
class ScalePlace:
    """Where a scale lies: its zero in pixels, its turn, and the length of its arms.

    size makes the card and its print larger or smaller; the graduations stay true.
    """

    origin_px: Point
    mm_per_px: float
    across_mm: int
    up_mm: int = 0
    angle_deg: float = 0.0
    size: float = 1.0

    def point_px(self, along_mm: float, up_mm: float = 0.0) -> Point:
        """The pixel of a place on the scale's plane, from its zero."""
        c, s = cos(radians(self.angle_deg)), sin(radians(self.angle_deg))
        x, y = along_mm / self.mm_per_px, -up_mm / self.mm_per_px
        return (self.origin_px[0] + x * c - y * s, self.origin_px[1] + x * s + y * c)

    def truth(self) -> dict[str, Any]:
        """What a measurement against this scale should find."""
        arms = [
            {
                "zero_px": self.point_px(0),
                "end_px": self.point_px(self.across_mm),
                "length_mm": float(self.across_mm),
            }
        ]
        if self.up_mm:
            arms.append(
                {
                    "zero_px": self.point_px(0),
                    "end_px": self.point_px(0, self.up_mm),
                    "length_mm": float(self.up_mm),
                }
            )
        return {
            "form": "right_angle" if self.up_mm else "straight",
            "angle_deg": self.angle_deg,
            "arms": arms,
        }


def lay_scale(canvas: Canvas, place: ScalePlace) -> None:
    """Draw a printed scale and its shadow; its graduated edges face the object."""
    k = 2 if place.across_mm / place.mm_per_px < 2600 else 1
    per_mm = k / place.mm_per_px
    arm, spare, pad = (mm * place.size for mm in (_ARM_MM, _SPARE_MM, 3.0))
    left, top = (arm, place.up_mm + spare) if place.up_mm else (spare, 0.0)
    size = (
        int((left + place.across_mm + spare + 2 * pad) * per_mm),
        int((top + arm + 2 * pad) * per_mm),
    )
    zero = ((left + pad) * per_mm, (top + pad) * per_mm)
    # Paper and print are grays, and the card's shape a mask: both turn faster than color.
    card, shape = Image.new("L", size, CARD[0]), Image.new("L", size, 0)
    cut = ImageDraw.Draw(shape)
    end = zero[0] + (place.across_mm + spare) * per_mm
    base = zero[1] + arm * per_mm
    cut.rectangle((zero[0] - left * per_mm, zero[1], end, base), fill=255)
    if place.up_mm:
        cut.rectangle(
            (zero[0] - left * per_mm, zero[1] - top * per_mm, zero[0] - 1, base), fill=255
        )
    _graduate(ImageDraw.Draw(card), zero, per_mm, place)
    _set_down(canvas, card, shape, zero=zero, k=k, place=place)


def _graduate(draw: ImageDraw.ImageDraw, zero: Point, per_mm: float, place: ScalePlace) -> None:
    """Millimeter marks centered on their true place, numbers each centimeter."""
    mark = per_mm * place.size
    thick = max(0.16 * mark, 1.0)
    face = font(round(3.4 * mark), 500)
    small = font(round(2.1 * mark), 400)
    zx, zy = zero
    # Marks closer than two pixels would run together; numbers need room for two digits.
    finest = 1 if place.mm_per_px <= 0.5 else 5 if place.mm_per_px <= 2 else 10
    every = next(n for n in (10, 20, 50, 100, 200, 500) if n >= 4.6 * place.size or n == 500)
    for mm in range(0, place.across_mm + 1, finest):
        tick = _tick(mm) * mark
        x = zx + mm * per_mm
        draw.rectangle(_bar(x, zy, thick, tick), fill=INK[0])
        if mm % every == 0 and (mm or not place.up_mm):
            draw.text((x, zy + 9.4 * mark), str(mm // 10), INK[0], face, "ms")
    for mm in range(finest, place.up_mm + 1, finest):
        tick = _tick(mm) * mark
        y = zy - mm * per_mm
        draw.rectangle((zx - tick, y - thick / 2, zx - 1, y + thick / 2 - 1), fill=INK[0])
        if mm % every == 0:
            draw.text((zx - 8.0 * mark, y), str(mm // 10), INK[0], face, "mm")
    draw.text((zx + 1.6 * mark, zy + 12.6 * mark), "cm", INK[0], small, "ls")
    edge = zx + place.across_mm * per_mm
    if place.across_mm >= 50 * place.size:
        draw.text((edge, zy + 12.6 * mark), _OFFICE, 96, small, "rs")
    if place.up_mm:
        _patches(draw, zero, mark)


def _patches(draw: ImageDraw.ImageDraw, zero: Point, mark: float) -> None:
    """Three gray steps in the corner, for judging exposure."""
    for step, gray in enumerate((40, 119, 200)):
        x = zero[0] - (12.2 - 3.6 * step) * mark
        y = zero[1] + 5.4 * mark
        draw.rectangle((x, y, x + 3.6 * mark, y + 3.6 * mark), fill=gray)


def _tick(mm: int) -> float:
    return _TICK_MM[10] if mm % 10 == 0 else _TICK_MM[5] if mm % 5 == 0 else _TICK_MM[1]


def _bar(x: float, y: float, thick: float, tall: float) -> tuple[float, float, float, float]:
    """Pillow's rectangles include their last pixel, hence the one less on the right."""
    return (x - thick / 2, y, x + thick / 2 - 1, y + tall)


def _set_down(
    canvas: Canvas,
    card: Image.Image,
    shape: Image.Image,
    *,
    zero: Point,
    k: int,
    place: ScalePlace,
) -> None:
    """Turn, reduce and paste the drawn card, so that its zero meets its pixel exactly."""
    corners = [(0, 0), (card.width, 0), (card.width, card.height), (0, card.height)]
    c, s = cos(radians(place.angle_deg)), sin(radians(place.angle_deg))
    ox, oy = place.origin_px
    where = np.asarray(
        [
            (
                ox + ((x - zero[0]) * c - (y - zero[1]) * s) / k,
                oy + ((x - zero[0]) * s + (y - zero[1]) * c) / k,
            )
            for x, y in corners
        ]
    )
    low = np.floor(where.min(axis=0)).astype(int)
    high = np.ceil(where.max(axis=0)).astype(int)
    size = (int(high[0] - low[0]), int(high[1] - low[1]))
    dx, dy = low[0] - ox, low[1] - oy
    # Output (at k times the size) back to the card: turn by the opposite angle.
    matrix = (c, s, zero[0] + k * (c * dx + s * dy), -s, c, zero[1] + k * (-s * dx + c * dy))
    laid, mask = (
        part.transform(
            (size[0] * k, size[1] * k), Image.Transform.AFFINE, matrix, Image.Resampling.BILINEAR
        ).reduce(k)
        for part in (card, shape)
    )
    soft = 0.5 * place.size / place.mm_per_px
    dark = mask.filter(ImageFilter.GaussianBlur(soft)).point([round(v * 0.38) for v in range(256)])
    at = (int(low[0]), int(low[1]))
    canvas.image.paste((20, 14, 12), (at[0] + round(soft), at[1] + round(1.4 * soft)), dark)
    warm = laid.point([round(v * CARD[2] / CARD[0]) for v in range(256)])
    canvas.image.paste(Image.merge("RGB", (laid, laid, warm)), at, mask)


def lay_tag(canvas: Canvas, label: str, corner: str = "top_right") -> tuple[int, int, int, int]:
    """Draw the case tag in a corner; returns its box in pixels."""
    short = min(canvas.width, canvas.height)
    size = max(short * 0.034, 9.0)
    lines = [part.strip() for part in label.replace("·", "\n").split("\n") if part.strip()]
    faces = [
        font(round(size if n == 0 else size * 0.72), 600 if n == 0 else 400)
        for n in range(len(lines))
    ]
    head = font(round(size * 0.46), 500)
    inner = max(
        [head.getlength(_OFFICE)] + [f.getlength(t) for f, t in zip(faces, lines, strict=True)]
    )
    pad = size * 0.55
    wide = round(inner + 2 * pad)
    tall = round(pad * 1.5 + size * 0.62 + size * 1.12 + size * 0.92 * (len(lines) - 1))
    edge = round(short * 0.03)
    x = edge if corner.endswith("left") else canvas.width - edge - wide
    y = edge if corner.startswith("top") else canvas.height - edge - tall
    shade = Image.new("L", (wide + 4 * edge // 2, tall + 4 * edge // 2), 0)
    ImageDraw.Draw(shade).rectangle((edge, edge, edge + wide, edge + tall), fill=90)
    shade = shade.filter(ImageFilter.GaussianBlur(size * 0.16))
    canvas.image.paste(
        (12, 10, 10), (x - edge + round(size * 0.1), y - edge + round(size * 0.16)), shade
    )
    draw = ImageDraw.Draw(canvas.image)
    draw.rectangle((x, y, x + wide, y + tall), fill=CARD)
    draw.rectangle((x, y, x + round(size * 0.16), y + tall), fill=(52, 78, 92))
    line = y + pad * 0.75 + size * 0.46
    draw.text((x + pad, line), _OFFICE, (96, 96, 98), head, "ls")
    line += size * 1.12
    for face, words in zip(faces, lines, strict=True):
        draw.text((x + pad, line), words, INK, face, "ls")
        line += size * 0.92
    return (x, y, x + wide, y + tall)
