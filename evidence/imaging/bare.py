"""Copies of pictures without a word of the camera.

A JPEG keeps its picture data byte for byte: only what stands beside them is left out. Markers and
segments are those of ITU-T T.81 (09/1992), Annex B, the JFIF segment that of ITU-T T.871 (05/2011),
the orientation is tag 0x0112 of Exif (CIPA DC-008). Every other kind is decoded and saved anew.
"""

from __future__ import annotations

import hashlib
import io
import struct
from collections.abc import Iterator
from typing import IO

from PIL import Image, ImageCms

from evidence.imaging import pictures

QUALITY = 95
AS_IT_WAS = "picture data byte for byte as in the original, no metadata"
HELD = "which way up the camera was held kept"
ANEW = f"orientation applied, sRGB, 8 bits a channel, JPEG quality {QUALITY}, no metadata"

SOI, EOI, SOS, APP0, APP14 = 0xD8, 0xD9, 0xDA, 0xE0, 0xEE
# Tables, frame and scan headers, restart interval, number of lines, hierarchical progression.
NEEDED = frozenset(range(0xC0, 0xD0)) | {SOS, 0xDB, 0xDC, 0xDD, 0xDE, 0xDF}
JFIF, ADOBE = b"JFIF\0", b"Adobe"
ORIENTATION = 0x0112


class NotPlain(Exception):
    """A JPEG of which this module can't tell picture data from notes."""


def copy_without_metadata(original: IO[bytes]) -> tuple[bytes, str]:
    """Return a JPEG of the whole picture without any notes, and how it was made.

    Raises what a broken picture raises (`pictures.BROKEN`, Image.DecompressionBombError).
    """
    content = original.read()
    try:
        return _same_data(content)
    except NotPlain:
        picture = pictures.upright(io.BytesIO(content))
    # A fresh image: nothing of the original's notes goes along.
    clean = Image.new("RGB", picture.size)
    clean.paste(picture)
    copy = io.BytesIO()
    clean.save(copy, "JPEG", quality=QUALITY, optimize=True)
    return copy.getvalue(), ANEW


def without_notes(content: bytes, *, orientation: int = 1) -> bytes:
    """Return a JPEG with nothing but what is needed to decode its first picture.

    `orientation` (1 to 8, as in Exif) is written down where it is not 1. Raises NotPlain.
    """
    parts = [b"\xff\xd8"]
    held = _orientation_segment(orientation) if orientation != 1 else b""
    for marker, body, data in _segments(content):
        if marker == APP0 and body.startswith(JFIF) and len(body) >= 12 and len(parts) == 1:
            body = body[:12] + b"\0\0"  # version and density, but no small picture
        elif marker == APP14 and body.startswith(ADOBE) and len(body) >= 12:
            body = body[:12]  # how the colors are to be read
        elif marker not in NEEDED:
            continue
        if held and marker != APP0:
            parts.append(held)
            held = b""
        parts.append(struct.pack(">BBH", 0xFF, marker, len(body) + 2) + body + data)
    return b"".join([*parts, b"\xff\xd9"])


def _same_data(content: bytes) -> tuple[bytes, str]:
    with Image.open(io.BytesIO(content), formats=pictures.READERS) as picture:
        if picture.format not in {"JPEG", "MPO"} or not _is_srgb(picture.info.get("icc_profile")):
            raise NotPlain
        points = _digest_of_points(picture)
        orientation = _orientation(picture)
    copy = without_notes(content, orientation=orientation)
    with Image.open(io.BytesIO(copy), formats=("JPEG",)) as picture:
        if _digest_of_points(picture) != points:
            raise NotPlain
    return copy, AS_IT_WAS if orientation == 1 else f"{AS_IT_WAS}; {HELD}"


def _segments(content: bytes) -> Iterator[tuple[int, bytes, bytes]]:
    """Yield marker, body and, behind the header of a scan, its coded data, up to the first end."""
    if content[:2] != b"\xff\xd8":
        raise NotPlain
    at = 2
    while True:
        if content[at : at + 1] != b"\xff":
            raise NotPlain
        while content[at + 1 : at + 2] == b"\xff":
            at += 1  # any number of fill bytes may stand before a marker
        head = content[at + 1 : at + 4]
        if head[:1] == bytes([EOI]):
            return
        if len(head) < 3:
            raise NotPlain
        marker, length = struct.unpack(">BH", head)
        body = content[at + 4 : at + 2 + length]
        if length < 2 or len(body) != length - 2:
            raise NotPlain
        at += 2 + length
        end = _end_of_scan(content, at) if marker == SOS else at
        yield marker, body, content[at:end]
        at = end


def _end_of_scan(content: bytes, at: int) -> int:
    """Where the coded data end: at a marker that is neither a stuffed zero nor a restart."""
    while True:
        at = content.find(b"\xff", at)
        if at < 0 or at + 1 >= len(content):
            raise NotPlain
        following = content[at + 1]
        if following == 0xFF:
            at += 1
        elif following == 0 or 0xD0 <= following <= 0xD7:
            at += 2
        else:
            return at


def _orientation_segment(orientation: int) -> bytes:
    """An Exif segment that says nothing but how the camera was held."""
    directory = struct.pack(">HHHIHHI", 1, ORIENTATION, 3, 1, orientation, 0, 0)
    body = b"Exif\0\0" + b"MM\0*" + struct.pack(">I", 8) + directory
    return struct.pack(">BBH", 0xFF, 0xE1, len(body) + 2) + body


def _orientation(picture: Image.Image) -> int:
    try:
        held = picture.getexif().get(ORIENTATION)
    except Exception:
        return 1  # junk in the notes says nothing, and is shown upright everywhere else too
    return held if isinstance(held, int) and held in range(2, 9) else 1


def _is_srgb(profile: bytes | None) -> bool:
    if not profile:
        return True
    try:
        described = ImageCms.getProfileDescription(ImageCms.ImageCmsProfile(io.BytesIO(profile)))
    except (ImageCms.PyCMSError, OSError):
        return False
    return described.strip().startswith("sRGB")


def _digest_of_points(picture: Image.Image) -> bytes:
    return hashlib.sha256(picture.tobytes()).digest()
