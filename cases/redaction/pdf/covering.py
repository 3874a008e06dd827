"""Bars over the picture of a page: what lies below them is gone before anything is kept."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from PIL import Image, ImageDraw, ImageFont

from cases.redaction.pdf.words import Box

WHOLE = 10_000
COLOR = (0, 0, 0)
CODE_COLOR = (255, 255, 255)
# A glyph may reach past its box by this much: a share of the box's height.
MARGIN = 0.06
LEAST_CODE_PX = 9


@dataclass(frozen=True)
class Cover:
    """A bar over one page and the code that is printed on it."""

    box: Box
    code: str = ""


def covers_of(marks: Iterable[Mapping[str, Any]], *, page: int | None = None) -> list[Cover]:
    """Return the bars of marks, in an order that depends on nothing but them."""
    covers = {
        Cover((box[0], box[1], box[2], box[3]), str(one.get("number", "")))
        for one in marks
        if page is None or one["page"] == page
        for box in one["boxes"]
    }
    return sorted(covers, key=lambda one: (one.box, one.code))


def covered(picture: Image.Image, covers: Sequence[Cover]) -> Image.Image:
    """Return a fresh picture in which the bars are drawn, each with its code where it fits."""
    clean = Image.new("RGB", picture.size)
    clean.paste(picture)
    pen = ImageDraw.Draw(clean)
    boxes = [pixels_of(one.box, clean.size) for one in covers]
    for box in boxes:
        pen.rectangle((box[0], box[1], box[2] - 1, box[3] - 1), fill=COLOR)
    # All bars before any code: no bar covers the code of another in part.
    for one, box in zip(covers, boxes, strict=True):
        _print_code(pen, one.code, box)
    return clean


def pixels_of(box: Box, size: tuple[int, int]) -> Box:
    """Return the points of a picture that a box covers, with its margin, never fewer."""
    width, height = size
    margin = max(1, round(min(box[3] - box[1], box[2] - box[0]) * MARGIN * height / WHOLE))
    return (
        max(0, box[0] * width // WHOLE - margin),
        max(0, box[1] * height // WHOLE - margin),
        min(width, -(-box[2] * width // WHOLE) + margin),
        min(height, -(-box[3] * height // WHOLE) + margin),
    )


def _print_code(pen: ImageDraw.ImageDraw, code: str, box: Box) -> None:
    if not code:
        return
    width, height = box[2] - box[0], box[3] - box[1]
    size = min(round(height * 0.7), 60)
    while size >= LEAST_CODE_PX:
        font = ImageFont.load_default(size)
        left, top, right, bottom = pen.textbbox((0, 0), code, font=font)
        if right - left <= width * 0.94 and bottom - top <= height:
            at = (
                box[0] + (width - (right - left)) / 2 - left,
                box[1] + (height - (bottom - top)) / 2 - top,
            )
            pen.text(at, code, font=font, fill=CODE_COLOR)
            return
        size -= 2
