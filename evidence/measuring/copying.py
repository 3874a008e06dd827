"""Derived copies, made again to the byte from parent and operations.

Pure: bytes and a list of operations in, PNG bytes out. A third party runs
`python -m evidence.measuring.copying PARENT OPERATIONS.json COPY.png` with the versions that the
record names, and compares the digests. Where another version packs the PNG otherwise, the digest
of the pixels (`pixels_sha256`) still has to agree.

Operations, applied in order; coordinates are pixels, the middle of the first one is (0.5, 0.5):
    {"op": "upright", "orientation": 1 to 8}          as Exif 2.3 (CIPA DC-008) numbers them
    {"op": "crop", "box": [left, top, right, bottom]}
    {"op": "rectify", "to_picture": 3 x 3 numbers (plane mm to px), "origin_mm": [x, y],
     "px_per_mm": number, "size": [width, height]}    bilinear, gray where the picture ends
    {"op": "mark", "lines": [{"points": [[x, y], ...], "closed": bool}],
     "words": [{"at": [x, y], "text": "..."}], "unit_px": number}

Nothing but the pixels goes along: no Exif, no place, no color profile. Numbers stay those of the
original's color space.
"""

from __future__ import annotations

import hashlib
import io
import json
import math
import struct
import sys
import zlib
from collections.abc import Mapping, Sequence
from itertools import pairwise
from pathlib import Path
from typing import Any

import numpy as np
import PIL
from numpy.typing import NDArray
from PIL import Image, ImageDraw, ImageFont, features
from pillow_heif import register_heif_opener

VERSION = "1.0"
GRAY = 128
Pixels = NDArray[np.uint8]


def software() -> str:
    """What makes the copies, with the versions that may matter."""
    parts = [f"me-office copies {VERSION}", f"Pillow {PIL.__version__}"]
    for name in ("libjpeg_turbo", "freetype2", "zlib", "zlib_ng"):
        version = features.version(name)
        if version:
            parts.append(f"{name} {version}")
    return "; ".join([*parts, f"zlib {zlib.ZLIB_RUNTIME_VERSION}", f"numpy {np.__version__}"])


def make_copy(parent: bytes, operations: Sequence[Mapping[str, Any]]) -> tuple[bytes, str]:
    """The copy as PNG, and the SHA-256 of its pixels (width, height, then RGB rows)."""
    pixels = _read(parent)
    for operation in operations:
        pixels = _OPERATIONS[operation["op"]](pixels, operation)
    return _png(pixels), pixels_sha256(pixels)


def pixels_sha256(pixels: Pixels) -> str:
    """A digest of the picture alone, however it is packed."""
    size = struct.pack(">II", pixels.shape[1], pixels.shape[0])
    return hashlib.sha256(size + np.ascontiguousarray(pixels).tobytes()).hexdigest()


def _read(parent: bytes) -> Pixels:
    register_heif_opener()
    with Image.open(io.BytesIO(parent)) as picture:
        if picture.mode.startswith("I") or picture.mode == "F":
            values = np.asarray(picture, float)
            low, high = float(values.min()), float(values.max())
            eight = np.floor((values - low) * (255.0 / ((high - low) or 1.0)))
            return np.repeat(eight.astype(np.uint8)[:, :, None], 3, axis=2)
        if picture.mode in {"RGBA", "LA", "P", "PA"}:
            layered = picture.convert("RGBA")
            ground = Image.new("RGBA", layered.size, "white")
            return np.asarray(Image.alpha_composite(ground, layered).convert("RGB"))
        return np.asarray(picture.convert("RGB"))


def _upright(pixels: Pixels, operation: Mapping[str, Any]) -> Pixels:
    mirrored = {2, 4, 5, 7}
    quarter_turns = {3: 2, 4: 2, 5: 1, 6: -1, 7: -1, 8: 1}
    orientation = operation["orientation"]
    turned = np.rot90(pixels, quarter_turns.get(orientation, 0))
    if orientation in {5, 7}:
        return np.ascontiguousarray(turned[::-1])
    return np.ascontiguousarray(turned[:, ::-1] if orientation in mirrored else turned)


def _crop(pixels: Pixels, operation: Mapping[str, Any]) -> Pixels:
    left, top, right, bottom = operation["box"]
    return np.ascontiguousarray(pixels[top:bottom, left:right])


def _rectify(pixels: Pixels, operation: Mapping[str, Any]) -> Pixels:
    width, height = operation["size"]
    ((a, b, c), (d, e, f), (g, h, i)) = operation["to_picture"]
    mm = (np.arange(width) + 0.5) / operation["px_per_mm"] + operation["origin_mm"][0]
    made = np.empty((height, width, 3), np.uint8)
    # Row by row: little memory, and plain arithmetic in a fixed order on every machine.
    for row in range(height):
        down = (row + 0.5) / operation["px_per_mm"] + operation["origin_mm"][1]
        depth = g * mm + h * down + i
        x = (a * mm + b * down + c) / depth - 0.5
        y = (d * mm + e * down + f) / depth - 0.5
        made[row] = _between(pixels, x, y)
    return made


def _between(pixels: Pixels, x: NDArray[np.float64], y: NDArray[np.float64]) -> Pixels:
    rows, columns = pixels.shape[:2]
    inside = (x >= 0) & (y >= 0) & (x <= columns - 1) & (y <= rows - 1)
    x, y = np.where(inside, x, 0.0), np.where(inside, y, 0.0)
    left, top = np.floor(x).astype(int), np.floor(y).astype(int)
    right, below = np.minimum(left + 1, columns - 1), np.minimum(top + 1, rows - 1)
    over, down = (x - left)[:, None], (y - top)[:, None]
    upper = pixels[top, left] * (1 - over) + pixels[top, right] * over
    lower = pixels[below, left] * (1 - over) + pixels[below, right] * over
    value = np.floor(upper * (1 - down) + lower * down + 0.5).astype(np.uint8)
    return np.where(inside[:, None], value, np.uint8(GRAY))


def _mark(pixels: Pixels, operation: Mapping[str, Any]) -> Pixels:
    picture = Image.fromarray(pixels)
    draw = ImageDraw.Draw(picture)
    unit = max(1, round(operation["unit_px"]))
    for line in operation["lines"]:
        points = [tuple(point) for point in line["points"]]
        for first, second in _dashes(points + points[:1] if line["closed"] else points, 6 * unit):
            draw.line([first, second], fill=(0, 0, 0), width=3 * unit)
            draw.line([first, second], fill=(255, 255, 255), width=unit)
        for x, y in points:
            for reach, width, shade in ((4 * unit, 3 * unit, 0), (4 * unit - unit, unit, 255)):
                box = [round(x - reach), round(y - reach), round(x + reach), round(y + reach)]
                draw.ellipse(box, outline=(shade, shade, shade), width=width)
    font = ImageFont.load_default(size=12 * unit)
    for words in operation["words"]:
        place = (round(words["at"][0]), round(words["at"][1]))
        draw.text(place, words["text"], font=font, fill=(255, 255, 255), stroke_width=unit,
                  stroke_fill=(0, 0, 0), anchor="ms")  # fmt: skip
    return np.asarray(picture)


def _dashes(points: list[Any], length: int) -> list[Any]:
    """The drawn parts of a dashed path, rounded to whole pixels."""
    found, drawn, left = [], True, float(length)
    for (x, y), (to_x, to_y) in pairwise(points):
        far = math.hypot(to_x - x, to_y - y)
        at = 0.0
        while far > 0 and at < far:
            step = min(left, far - at)
            if drawn:
                ends = [
                    (round(x + (to_x - x) * t / far), round(y + (to_y - y) * t / far))
                    for t in (at, at + step)
                ]
                found.append((ends[0], ends[1]))
            at += step
            left -= step
            if left <= 1e-9:
                drawn, left = not drawn, float(length)
    return found


_OPERATIONS = {"upright": _upright, "crop": _crop, "rectify": _rectify, "mark": _mark}


def _png(pixels: Pixels) -> bytes:
    """PNG (ISO/IEC 15948) with three chunks and the filter Up, so that nothing else gets in."""
    height, width = pixels.shape[:2]
    rows = pixels.reshape(height, width * 3)
    up = rows.copy()
    up[1:] -= rows[:-1]
    filtered = np.column_stack([np.full(height, 2, np.uint8), up])
    header = struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    chunks = [
        (b"IHDR", header),
        (b"IDAT", zlib.compress(filtered.tobytes(), 6)),
        (b"IEND", b""),
    ]
    return b"\x89PNG\r\n\x1a\n" + b"".join(
        struct.pack(">I", len(body)) + name + body + struct.pack(">I", zlib.crc32(name + body))
        for name, body in chunks
    )


def main(arguments: Sequence[str]) -> int:
    """Make a copy again from files: parent, operations as JSON, copy."""
    if len(arguments) != 3:
        print("usage: python -m evidence.measuring.copying PARENT OPERATIONS.json COPY.png")
        return 2
    parent, operations, copy = (Path(each) for each in arguments)
    made, pixels = make_copy(parent.read_bytes(), json.loads(operations.read_text()))
    copy.write_bytes(made)
    print(f"sha256 {hashlib.sha256(made).hexdigest()}\npixels {pixels}\n{software()}")
    return 0


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))
