"""The whole picture in squares, so that a screen can show each point of a large photograph.

A photograph is cut into squares of `SIDE` points, then halved and cut again until it fits the
screen copy. All squares are kept as JPEG in one ZIP without further compression: one file to store
and to name by its digest, each square read without the others.
"""

from __future__ import annotations

import io
import json
import math
import zipfile
from dataclasses import dataclass
from typing import IO

from PIL import Image

SIDE = 512
# The copy for the screen shows everything up to here.
SCREEN = 1600
METHOD = (
    f"Orientation applied, sRGB, metadata removed, squares of {SIDE} px at full size and halved "
    f"(box) down to {SCREEN} px, JPEG quality 90 without chroma subsampling, in a ZIP"
)
NOTE = "tiles.json"


@dataclass(frozen=True)
class Plan:
    """How a picture is cut: its upright size, (columns, rows) of each level, full size first."""

    width: int
    height: int
    levels: tuple[tuple[int, int], ...]

    def as_note(self) -> dict[str, object]:
        """Return the plan as the viewer reads it."""
        return {"width": self.width, "height": self.height, "side": SIDE, "levels": self.levels}


def plan(width: int, height: int) -> Plan:
    """Return how a picture of this upright size is cut; no level when the screen copy holds it."""
    levels = []
    across, down = width, height
    while max(across, down) > SCREEN:
        levels.append((math.ceil(across / SIDE), math.ceil(down / SIDE)))
        across, down = math.ceil(across / 2), math.ceil(down / 2)
    return Plan(width, height, tuple(levels))


def cut(picture: Image.Image) -> bytes:
    """Return the ZIP of an upright RGB picture's squares; the same picture gives the same bytes."""
    planned = plan(*picture.size)
    held = io.BytesIO()
    with zipfile.ZipFile(held, "w", zipfile.ZIP_STORED) as archive:
        _keep(archive, NOTE, json.dumps(planned.as_note()).encode())
        for level, (columns, rows) in enumerate(planned.levels):
            if level:
                picture = picture.reduce(2)
            for row in range(rows):
                for column in range(columns):
                    _keep(archive, name_of(level, column, row), _square(picture, column, row))
    return held.getvalue()


def _square(picture: Image.Image, column: int, row: int) -> bytes:
    left, top = column * SIDE, row * SIDE
    box = (left, top, min(left + SIDE, picture.width), min(top + SIDE, picture.height))
    square = io.BytesIO()
    picture.crop(box).save(square, "JPEG", quality=90, subsampling=0)
    return square.getvalue()


def _keep(archive: zipfile.ZipFile, name: str, content: bytes) -> None:
    # A fixed moment: who makes the tiles again gets the same bytes.
    archive.writestr(zipfile.ZipInfo(name, (1980, 1, 1, 0, 0, 0)), content)


def name_of(level: int, column: int, row: int) -> str:
    """Return the name of a square in the file."""
    return f"{level}/{column}-{row}.jpg"


def read_note(file: IO[bytes]) -> dict[str, object]:
    """Return the plan that was kept with the squares."""
    with zipfile.ZipFile(file) as archive:
        note: dict[str, object] = json.loads(archive.read(NOTE))
    return note


def places_of(file: IO[bytes]) -> dict[str, tuple[int, int]]:
    """Return of each kept square where its JPEG begins in the file, and its length.

    PKWARE's APPNOTE.TXT, 4.3.7: what is kept follows a head of 30 bytes and its name. Whoever knows
    the place reads the square alone, and not the list of all.
    """
    with zipfile.ZipFile(file) as archive:
        return {
            one.filename: (one.header_offset + 30 + len(one.filename), one.file_size)
            for one in archive.infolist()
            if one.filename != NOTE and one.compress_type == zipfile.ZIP_STORED
        }
