"""What is taken in as a photograph and what is refused, with the words.

A file is judged by its bytes, never by its name alone. Its size in picture points is read from
the header before anything is decoded, so that a small file cannot unpack into a huge picture.
"""

from __future__ import annotations

from pathlib import PurePath
from typing import IO

from django.conf import settings
from PIL import Image

from evidence.imaging import raw
from evidence.imaging.exif import exif_facts
from evidence.imaging.pictures import BROKEN, MEDIA_TYPES, READERS, ends_well
from evidence.photographs.rules import FIELD
from evidence.store import Incoming
from me_office.audit.errors import Refused

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
    return incoming.recognized(media_type=media_type, width_px=width, height_px=height, exif=exif)


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
    return incoming.recognized(
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
            "This is not a picture we can read. JPEG, PNG, TIFF, HEIC, WebP and camera "
            "raw (DNG, CR2, NEF, ARW) are accepted.",
            field=FIELD,
        ) from error


def _check_name(name: str, found: str) -> None:
    said = NAMES_OF.get(PurePath(name).suffix.lower())
    real = "JPEG" if found == "MPO" else found
    if said and said != real:
        raise Refused(
            f"The name says {WORDS.get(said, said)}, but the file is {WORDS.get(real, real)}. "
            "Copy it from the camera again, or give it the right name.",
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
        f"This picture has too many picture points{size}; up to {most:g} million are accepted.",
        field=FIELD,
    )


def _check_single(picture: Image.Image) -> None:
    try:
        frames = 1 if picture.format == "MPO" else getattr(picture, "n_frames", 1)
    except BROKEN as error:
        raise _broken() from error
    if frames > 1:
        raise Refused(
            f"This file holds {frames} pictures or is animated. Add one photograph per file.",
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


def _broken() -> Refused:
    return Refused(
        "This picture is damaged or incomplete. Copy it from the camera's card again.", field=FIELD
    )


def _megabytes(size_bytes: int) -> str:
    if size_bytes < 1_000_000:
        return f"{size_bytes / 1000:g} kB"
    return f"{size_bytes / 1_000_000:.0f} MB"
