"""Reading picture files: what is taken in, what is refused, what Exif says, smaller copies.

A file is judged by its bytes, never by its name alone. Its size in picture points is read from
the header before anything is decoded, so that a small file cannot unpack into a huge picture.
"""

from __future__ import annotations

import errno
import io
import struct
import zlib
from pathlib import PurePath
from typing import IO, Any

from django.conf import settings
from PIL import Image, ImageCms, ImageOps
from pillow_heif import register_heif_opener

from evidence import raw
from evidence.exif import exif_facts
from evidence.store import Incoming
from me_office.audit.errors import Refused

FIELD = "upload"
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
NAMES_OF = {
    ".jpg": "JPEG",
    ".jpeg": "JPEG",
    ".png": "PNG",
    ".tif": "TIFF",
    ".tiff": "TIFF",
    ".heic": "HEIF",
    ".heif": "HEIF",
    ".webp": "WEBP",
    **dict.fromkeys(raw.MEDIA_TYPES, "RAW"),
}
WORDS = {"JPEG": "JPEG", "MPO": "JPEG", "HEIF": "HEIC", "WEBP": "WebP", "RAW": "camera raw"}
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


def prepare_readers() -> None:
    """Teach Pillow HEIC and this office's limit; called once when the process starts."""
    register_heif_opener()
    Image.MAX_IMAGE_PIXELS = settings.PHOTOGRAPH_MAX_PIXELS


def check_size(size_bytes: int) -> None:
    """Refuse an empty file and one that is too large, before it is read. Raises Refused."""
    if size_bytes == 0:
        raise Refused("This file is empty (0 bytes).", field=FIELD)
    largest = settings.PHOTOGRAPH_MAX_BYTES
    if size_bytes > largest:
        has, may = _megabytes(size_bytes), _megabytes(largest)
        if has == may:
            has, may = f"{size_bytes:,} bytes", f"{largest:,} bytes ({may})"
        raise Refused(f"This file has {has}; a photograph may have up to {may}.", field=FIELD)


def check_picture(incoming: Incoming) -> Incoming:
    """Return the bytes with what they are; refuse what is not one whole photograph.

    Raises Refused, beside the field `upload`.
    """
    check_size(incoming.size_bytes)
    with incoming.opened() as file:
        _check_not_text(file)
        if raw.is_raw(file):
            return _check_raw(incoming, file)
        with _opened(file) as picture:
            _check_name(incoming.name, picture.format or "")
            _check_points(picture)
            _check_single(picture)
            exif = exif_facts(picture)
            width, height = picture.size
            media_type = MEDIA_TYPES[picture.format or ""]
            _check_whole(picture, file)
    return incoming.recognised(media_type=media_type, width_px=width, height_px=height, exif=exif)


def _check_raw(incoming: Incoming, file: IO[bytes]) -> Incoming:
    """Check a camera raw file: its name, its extent from the header, then all of its values."""
    _check_name(incoming.name, "RAW")
    if not raw.says_raw(incoming.name):
        raise Refused(
            "This is a camera raw file without its name's ending (.dng, .cr2, .nef, .arw).",
            field=FIELD,
        )
    try:
        width, height = raw.points_of(file)
        _check_extent(width, height)
        facts = raw.read_raw(file)
    except BROKEN as error:
        raise _broken() from error
    return incoming.recognised(
        media_type=raw.MEDIA_TYPES[PurePath(incoming.name).suffix.lower()],
        width_px=facts.width_px,
        height_px=facts.height_px,
        exif=facts.exif,
    )


def _check_not_text(file: IO[bytes]) -> None:
    head = file.read(1024).lstrip(b"\xef\xbb\xbf \t\r\n").lower()
    file.seek(0)
    if head.startswith((b"<svg", b"<?xml", b"<!doctype")):
        raise Refused(
            "This is a drawing or a page (SVG, XML), not a photograph from a camera.", field=FIELD
        )


def _opened(file: IO[bytes]) -> Image.Image:
    try:
        return Image.open(file, formats=READERS)
    except (Image.DecompressionBombError, Image.DecompressionBombWarning) as error:
        raise _too_many_points() from error
    except BROKEN as error:
        raise Refused(
            "This is not a picture we can read. JPEG, PNG, TIFF, HEIC, WebP and camera raw "
            "(DNG, CR2, NEF, ARW) are taken.",
            field=FIELD,
        ) from error


def _check_name(name: str, found: str) -> None:
    said = NAMES_OF.get(PurePath(name).suffix.lower())
    real = "JPEG" if found == "MPO" else found
    if said and said != real:
        raise Refused(
            f"The name says {WORDS.get(said, said)}, but the file is {WORDS.get(real, real)}. "
            "Take it from the camera again, or give it its right name.",
            field=FIELD,
        )


def _check_points(picture: Image.Image) -> None:
    _check_extent(*picture.size)


def _check_extent(width: int, height: int) -> None:
    if width * height > settings.PHOTOGRAPH_MAX_PIXELS:
        raise _too_many_points(f" ({width:,} × {height:,})")
    if width < 2 or height < 2:
        raise Refused(
            f"This picture is {width:,} × {height:,} picture points; a photograph has 2 or more in "
            "each direction.",
            field=FIELD,
        )


def _too_many_points(size: str = "") -> Refused:
    most = settings.PHOTOGRAPH_MAX_PIXELS / 1_000_000
    return Refused(
        f"This picture has too many picture points{size}; up to {most:g} million are taken.",
        field=FIELD,
    )


def _check_single(picture: Image.Image) -> None:
    try:
        frames = 1 if picture.format == "MPO" else getattr(picture, "n_frames", 1)
    except BROKEN as error:
        raise _broken() from error
    if frames > 1:
        raise Refused(
            f"This file holds {frames} pictures or is animated. Take in one photograph a file.",
            field=FIELD,
        )


def _check_whole(picture: Image.Image, file: IO[bytes]) -> None:
    try:
        if picture.format in {"JPEG", "MPO"}:
            # A cut-off JPEG lacks its end mark. Where that stands, decoding all of it would find
            # nothing more, since its readers pass over damage, and would take as long again as
            # storing the file. Without the mark the reader decides.
            if ends_well(file):
                return
            picture.draft("RGB", (max(1, picture.width // 8), max(1, picture.height // 8)))
        picture.load()
    except (Image.DecompressionBombError, *BROKEN) as error:
        raise _broken() from error


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


def _broken() -> Refused:
    return Refused(
        "This picture is broken or cut off. Copy it from the camera's card again.", field=FIELD
    )


def _megabytes(size_bytes: int) -> str:
    if size_bytes < 1_000_000:
        return f"{size_bytes / 1000:g} kB"
    return f"{size_bytes / 1_000_000:.0f} MB"


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
    """Convert to RGB, by the picture's own colour profile where it has a usable one."""
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


def facts_of(incoming: Incoming) -> dict[str, Any]:
    """Return what a photograph's row keeps of its file."""
    return {
        "original_name": PurePath(incoming.name.replace("\\", "/")).name[-200:],
        "width_px": incoming.width_px,
        "height_px": incoming.height_px,
        "exif": incoming.exif or {},
    }


def is_passing(error: BaseException) -> bool:
    """Tell whether an error is the machine's (a full disk), so that the picture may be whole."""
    return isinstance(error, OSError) and error.errno in _PASSING
