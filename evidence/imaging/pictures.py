"""Reading picture files: the formats, whether a file is whole, the picture upright and smaller."""

from __future__ import annotations

import errno
import io
import struct
import zlib
from typing import IO

from PIL import Image, ImageCms, ImageOps
from pillow_heif import register_heif_opener

from evidence.imaging import raw

MEDIA_TYPES = {
    "JPEG": "image/jpeg",
    "MPO": "image/jpeg",  # a JPEG with further pictures behind it, as many telephones write
    "PNG": "image/png",
    "TIFF": "image/tiff",
    "HEIF": "image/heic",
    "WEBP": "image/webp",
}
# What Pillow is told to try; an MPO is found by its JPEG reader.
READERS = ("JPEG", "PNG", "TIFF", "HEIF", "WEBP")
# What Pillow's readers raise on broken files, beside its own errors.
BROKEN = (
    OSError, ValueError, SyntaxError, EOFError, IndexError, KeyError, TypeError, OverflowError,
    RuntimeError, AttributeError, struct.error, zlib.error, raw.Broken,
)  # fmt: skip
# Faults of the machine, not of the picture: they pass, and say nothing about it.
_PASSING = frozenset({
    errno.ENOSPC, errno.EDQUOT, errno.EIO, errno.EROFS, errno.EMFILE, errno.ENFILE, errno.ESTALE,
})  # fmt: skip
SIZES = {"thumb": 400, "screen": 1600}
METHOD = "Orientation applied, fitted within {size} px, sRGB, metadata removed, JPEG quality 85"


def prepare_readers(*, most_points: int) -> None:
    """Teach Pillow HEIC and the most picture points; called once when the process starts."""
    register_heif_opener()
    Image.MAX_IMAGE_PIXELS = most_points


def ends_well(file: IO[bytes]) -> bool:
    """Tell whether a JPEG's picture (not its thumbnail) is followed by the end mark.

    ITU-T T.81, annex B: marker segments carry their length up to the scan; the scan holds no
    other FF D9. What stands behind the mark, as telephones add, does not matter.
    """
    scan = _scan_of(file)
    if scan is None:
        return False
    end = file.seek(0, io.SEEK_END)
    step = 64 * 1024
    while end > scan:
        begin = max(scan, end - step)
        file.seek(begin)
        # One byte more than the step: the mark may stand across its edge.
        if b"\xff\xd9" in file.read(end - begin + 1):
            return True
        end, step = begin, step * 4
    return False


def _scan_of(file: IO[bytes]) -> int | None:
    """Return where the first scan's values begin, by walking over the segments before it."""
    place = 2
    for _ in range(2000):
        file.seek(place)
        head = file.read(4)
        if len(head) < 4 or head[0] != 0xFF:
            return None
        if head[1] == 0xFF:  # a fill byte
            place += 1
            continue
        length = int.from_bytes(head[2:4], "big")
        place += 2 + length
        if head[1] == 0xDA:
            return place
    return None


def smaller_copy(file: IO[bytes], *, longest_px: int) -> bytes:
    """Return an upright JPEG within `longest_px`, in sRGB, without any metadata."""
    with _to_show(file) as original:
        profile = original.info.get("icc_profile")
        if original.format in {"JPEG", "MPO"}:
            original.draft("RGB", (longest_px, longest_px))
        picture = _in_srgb(_eight_bit(turned(original)), profile)
    picture.thumbnail((longest_px, longest_px), Image.Resampling.LANCZOS, reducing_gap=3.0)
    copy = io.BytesIO()
    # A fresh image: nothing of the original's notes goes along.
    clean = Image.new("RGB", picture.size)
    clean.paste(picture)
    clean.save(copy, "JPEG", quality=85, optimize=True)
    return copy.getvalue()


def _to_show(file: IO[bytes]) -> Image.Image:
    return raw.preview_of(file) if raw.is_raw(file) else Image.open(file, formats=READERS)


def upright(file: IO[bytes]) -> Image.Image:
    """Return the whole picture upright, eight bits a channel, in sRGB."""
    with _to_show(file) as original:
        profile = original.info.get("icc_profile")
        return _in_srgb(_eight_bit(turned(original)), profile)


def turned(picture: Image.Image) -> Image.Image:
    """Turn a picture as its camera was held, where its notes can be read."""
    picture.load()  # what is broken in the picture itself is said as that
    try:
        return ImageOps.exif_transpose(picture)
    except Exception:
        # Whatever junk stands in the notes, the picture itself is whole.
        return picture


def _eight_bit(picture: Image.Image) -> Image.Image:
    if picture.mode.startswith("I") or picture.mode == "F":
        low, high = picture.getextrema()
        span = (float(high) - float(low)) or 1.0  # type: ignore[arg-type]
        offset = float(low)  # type: ignore[arg-type]
        return picture.convert("F").point(lambda v: (v - offset) * (255.0 / span)).convert("L")
    return picture


def _in_srgb(picture: Image.Image, profile: bytes | None) -> Image.Image:
    """Convert to RGB, by the picture's own color profile where it has a usable one."""
    if picture.mode in {"RGBA", "LA", "P", "PA"}:
        layered = picture.convert("RGBA")
        ground = Image.new("RGBA", layered.size, "white")
        picture = Image.alpha_composite(ground, layered).convert("RGB")
    if profile and picture.mode in {"RGB", "CMYK", "L"}:
        try:
            converted = ImageCms.profileToProfile(
                picture,
                ImageCms.ImageCmsProfile(io.BytesIO(profile)),
                ImageCms.createProfile("sRGB"),
                outputMode="RGB",
            )
        except (ImageCms.PyCMSError, OSError, ValueError):
            return picture.convert("RGB")
        if converted is not None:
            return converted
    return picture.convert("RGB")


def is_passing(error: BaseException) -> bool:
    """Tell whether an error is the machine's (a full disk), so that the picture may be whole."""
    return isinstance(error, OSError) and error.errno in _PASSING
