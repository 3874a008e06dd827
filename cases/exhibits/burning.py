"""Making the redacted copy: what is hidden is gone from it before it is compressed.

A covered region is one color. A blurred one is built anew from the mean colors of few large
squares, in coarse steps, so that two originals with the same means give the same copy: nothing
finer than a square is in it. Plain smoothing, which can be undone in part, is not used.
"""

from __future__ import annotations

import io
from collections.abc import Sequence
from typing import IO

import PIL
from PIL import Image, ImageDraw, features

from cases.exhibits.rules import BLUR_STEP, MARGIN_PX, Manner, Region
from evidence.imaging import pictures

COVER_COLOR = (24, 22, 20)
QUALITY = 92
SCREEN_PX = pictures.SIZES["screen"]


def upright_size(screen: IO[bytes], *, width_px: int, height_px: int) -> tuple[int, int]:
    """Return width and height of an original as it is seen: its smaller copy is upright."""
    with Image.open(screen, formats=pictures.READERS) as copy:
        turned = (copy.width > copy.height) != (width_px > height_px)
    return (height_px, width_px) if turned and width_px != height_px else (width_px, height_px)


def redacted(file: IO[bytes], regions: Sequence[Region]) -> tuple[bytes, bytes]:
    """Return the whole copy and its screen size, as JPEG without any metadata."""
    picture = burned(pictures.upright(file), regions)
    whole = _as_jpeg(picture)
    picture.thumbnail((SCREEN_PX, SCREEN_PX), Image.Resampling.LANCZOS)
    return whole, _as_jpeg(picture)


def preview(screen: IO[bytes], regions: Sequence[Region], *, width_px: int) -> bytes:
    """Return how a screen-size copy would look; regions are the original's, `width_px` wide."""
    with Image.open(screen, formats=pictures.READERS) as copy:
        picture = copy.convert("RGB")
    scale = picture.width / width_px
    smaller = [
        Region(
            one.shape,
            one.manner,
            tuple((round(x * scale), round(y * scale)) for x, y in one.points),
        )
        for one in regions
    ]
    return _as_jpeg(burned(picture, smaller, margin_px=round(MARGIN_PX * scale), scale=scale))


def burned(
    picture: Image.Image,
    regions: Sequence[Region],
    *,
    margin_px: int = MARGIN_PX,
    scale: float = 1.0,
) -> Image.Image:
    """Return a fresh picture in which the regions are covered or blurred."""
    clean = Image.new("RGB", picture.size)
    clean.paste(picture)
    # What is covered first can't bleed into the means of a blurred neighbor.
    for one in sorted(regions, key=lambda region: region.manner is Manner.BLUR):
        box = _wider(one.box, margin_px, clean.size)
        mask = _mask(one, box, margin_px)
        if one.manner is Manner.COVER:
            clean.paste(COVER_COLOR, box, mask)
        else:
            cell_px = one.blur_cell_px(MARGIN_PX * scale)
            clean.paste(_means(clean.crop(box), cell_px), box, mask)
    return clean


def _wider(
    box: tuple[int, int, int, int], margin_px: int, size: tuple[int, int]
) -> tuple[int, int, int, int]:
    left, top, right, bottom = box
    width, height = size
    return (
        max(0, left - margin_px),
        max(0, top - margin_px),
        min(width, right + margin_px + 1),
        min(height, bottom + margin_px + 1),
    )


def _mask(region: Region, box: tuple[int, int, int, int], margin_px: int) -> Image.Image:
    """The region and its margin, inside the box."""
    left, top, right, bottom = box
    mask = Image.new("L", (right - left, bottom - top), 0)
    pen = ImageDraw.Draw(mask)
    corners = [(x - left, y - top) for x, y in region.outline]
    pen.polygon(corners, fill=255)
    if margin_px:
        pen.line([*corners, corners[0]], fill=255, width=2 * margin_px + 1)
        for x, y in corners:
            pen.rectangle((x - margin_px, y - margin_px, x + margin_px, y + margin_px), fill=255)
    return mask


def _means(part: Image.Image, cell_px: int) -> Image.Image:
    across, down = max(1, part.width // cell_px), max(1, part.height // cell_px)
    few = part.resize((across, down), Image.Resampling.BOX)
    stepped = few.point(lambda value: value // BLUR_STEP * BLUR_STEP + BLUR_STEP // 2)
    return stepped.resize(part.size, Image.Resampling.BILINEAR)


def _as_jpeg(picture: Image.Image) -> bytes:
    copy = io.BytesIO()
    picture.save(copy, "JPEG", quality=QUALITY, optimize=True)
    return copy.getvalue()


def operations(regions: Sequence[Region]) -> list[str]:
    """Return what is done to the original, in order, for the record."""
    ordered = sorted(regions, key=lambda region: region.manner is Manner.BLUR)
    return [
        "orientation applied, 8 bits a channel, sRGB",
        *(region.words for region in ordered),
        f"saved as JPEG, quality {QUALITY}, no metadata",
    ]


def software() -> str:
    """Return which programs make the copy; the same ones make the same bytes again."""
    jpeg = features.version("jpg") or "unknown"
    return f"redaction 1, Pillow {PIL.__version__}, JPEG library {jpeg}"
