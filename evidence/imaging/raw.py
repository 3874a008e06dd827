"""Camera raw files: told apart by their bytes, checked, and shown by the camera's own preview.

LibRaw (through rawpy, a wheel that needs no compiler) reads them. The original is kept as the
camera wrote it; a raw file is never developed for measurement here, only shown.
"""

from __future__ import annotations

import io
from dataclasses import dataclass
from pathlib import PurePath
from typing import IO, Any, BinaryIO, cast

import rawpy
from PIL import ExifTags, Image

from evidence.imaging.exif import facts_from

MEDIA_TYPES = {
    ".dng": "image/x-adobe-dng",
    ".cr2": "image/x-canon-cr2",
    ".nef": "image/x-nikon-nef",
    ".arw": "image/x-sony-arw",
}
# TIFF 6.0: byte order and 42. All four kinds begin so.
_TIFF = (b"II*\0", b"MM\0*")
# DNG 1.7, DNGVersion; TIFF/EP, SubIFDs; TIFF 6.0, NewSubfileType.
_DNG_VERSION, _SUB_IFDS, _KIND = 0xC612, 0x014A, 0x00FE
# LibRaw says how the picture is to be turned: 3 half, 5 a quarter to the left, 6 to the right.
_TURNS = {
    3: Image.Transpose.ROTATE_180,
    5: Image.Transpose.ROTATE_90,
    6: Image.Transpose.ROTATE_270,
}
Broken = rawpy.LibRawError


@dataclass(frozen=True)
class RawFacts:
    """What a raw file says of itself."""

    width_px: int
    height_px: int
    exif: dict[str, object]


def is_raw(file: IO[bytes]) -> bool:
    """Tell from the bytes whether this is a camera raw file of the TIFF family."""
    file.seek(0)
    head = file.read(10)
    file.seek(0)
    if head[:4] not in _TIFF:
        return False
    if head[8:10] == b"CR":
        return True
    try:
        first = _first_directory(file)
        # A TIFF's first picture is the picture; a raw file's is a small preview of another.
        return _DNG_VERSION in first or (_SUB_IFDS in first and first.get(_KIND) == 1)
    except Exception:
        # Junk for a directory: no raw file, and the readers of pictures will say what it is.
        return False
    finally:
        file.seek(0)


def _first_directory(file: IO[bytes]) -> Image.Exif:
    directory = Image.Exif()
    directory.load_from_fp(file)
    return directory


def says_raw(name: str) -> bool:
    """Tell whether a file's name is that of a camera raw file."""
    return PurePath(name).suffix.lower() in MEDIA_TYPES


def read_raw(file: IO[bytes]) -> RawFacts:
    """Return a raw file's facts after reading all of its sensor values. Raises Broken."""
    file.seek(0)
    try:
        facts = facts_from(_first_directory(file))
    except Exception:
        facts = {}
    file.seek(0)
    with rawpy.imread(cast(BinaryIO, file)) as opened:
        sizes = opened.sizes
        opened.unpack()
    return RawFacts(sizes.width, sizes.height, facts)


def points_of(file: IO[bytes]) -> tuple[int, int]:
    """Return width and height from the header, before anything is unpacked. Raises Broken."""
    file.seek(0)
    with rawpy.imread(cast(BinaryIO, file)) as opened:
        return opened.sizes.raw_width, opened.sizes.raw_height


def preview_of(file: IO[bytes]) -> Image.Image:
    """Return the camera's own preview, upright; where there is none, a plain development."""
    file.seek(0)
    with rawpy.imread(cast(BinaryIO, file)) as opened:
        try:
            thumb = opened.extract_thumb()
        except (rawpy.LibRawNoThumbnailError, rawpy.LibRawUnsupportedThumbnailError):
            shown = opened.postprocess(use_camera_wb=True, half_size=True, output_bps=8)
            return Image.fromarray(shown)
        flip = opened.sizes.flip
    if thumb.format is rawpy.ThumbFormat.BITMAP:
        return _turned(Image.fromarray(cast(Any, thumb.data)), flip)
    picture = Image.open(io.BytesIO(cast(bytes, thumb.data)), formats=["JPEG"])
    if ExifTags.Base.Orientation in picture.getexif():
        flip = 0  # whoever opens it turns it by that
    return _turned(picture, flip)


def _turned(picture: Image.Image, flip: int) -> Image.Image:
    turn = _TURNS.get(flip)
    return picture.transpose(turn) if turn is not None else picture
