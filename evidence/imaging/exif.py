"""What the camera wrote into a picture: read, cut to size, made safe to show."""

from __future__ import annotations

import unicodedata
from datetime import UTC, datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from PIL import ExifTags, Image

LONGEST = 120
# Exif 2.3 (CIPA DC-008): IFD0, Exif IFD and GPS IFD tags.
_CAMERA = {"make": ExifTags.Base.Make, "model": ExifTags.Base.Model}
_EXPOSURE = {
    "taken": ExifTags.Base.DateTimeOriginal,
    "taken_offset": ExifTags.Base.OffsetTimeOriginal,
    "serial": ExifTags.Base.BodySerialNumber,
    "lens": ExifTags.Base.LensModel,
}
_ORIENTATIONS = range(1, 9)
_FOCAL_MM = range(8, 2001)


def exif_facts(picture: Image.Image) -> dict[str, object]:
    """Return the few facts the office keeps, as short clean text; {} when there are none.

    A place (GPS) is kept under `gps`, so that a copy for release can leave it out.
    """
    try:
        return facts_from(picture.getexif())
    except Exception:
        # Whatever junk stands there, the picture itself may be whole.
        return {}


def facts_from(exif: Image.Exif) -> dict[str, object]:
    """Return the facts of an Exif block; what it raises on junk is the caller's to catch."""
    exposure = exif.get_ifd(ExifTags.IFD.Exif)
    gps = exif.get_ifd(ExifTags.IFD.GPSInfo)
    facts: dict[str, object] = {}
    for source, names in ((exif, _CAMERA), (exposure, _EXPOSURE)):
        for name, tag in names.items():
            if words := clean_text(source.get(tag)):
                facts[name] = words
    orientation = exif.get(ExifTags.Base.Orientation)
    if isinstance(orientation, int) and orientation in _ORIENTATIONS:
        facts["orientation"] = orientation
    focal = exposure.get(ExifTags.Base.FocalLengthIn35mmFilm)
    if isinstance(focal, int) and focal in _FOCAL_MM:
        facts["focal_35mm"] = focal
    if place := _place(gps):
        facts["gps"] = place
    return facts


def clean_text(value: object) -> str:
    """Return printable text of at most `LONGEST` characters; control characters are dropped."""
    if isinstance(value, bytes):
        value = value[: LONGEST * 4].decode("utf-8", "replace")
    if not isinstance(value, str):
        return ""
    kept = "".join(
        character
        for character in value[: LONGEST * 4]
        if not unicodedata.category(character).startswith("C") and character != "\ufffd"
    )
    return " ".join(kept.split())[:LONGEST]


def _place(gps: dict[int, Any]) -> dict[str, float] | None:
    try:
        latitude = _degrees(gps[ExifTags.GPS.GPSLatitude])
        longitude = _degrees(gps[ExifTags.GPS.GPSLongitude])
    except (KeyError, TypeError, ValueError, ZeroDivisionError, OverflowError):
        return None
    if gps.get(ExifTags.GPS.GPSLatitudeRef) == "S":
        latitude = -latitude
    if gps.get(ExifTags.GPS.GPSLongitudeRef) == "W":
        longitude = -longitude
    if not (-90 <= latitude <= 90 and -180 <= longitude <= 180):
        return None
    return {"latitude": round(latitude, 6), "longitude": round(longitude, 6)}


def _degrees(parts: Any) -> float:
    degrees, minutes, seconds = (float(part) for part in parts)
    return degrees + minutes / 60 + seconds / 3600


def said_by_clock(exif: dict[str, Any]) -> datetime | None:
    """Return what the camera's clock showed, without any zone: as recorded."""
    try:
        return datetime.strptime(exif.get("taken", ""), "%Y:%m:%d %H:%M:%S")
    except ValueError:
        return None


def corrected(exif: dict[str, object], *, zone: ZoneInfo, ahead_seconds: int) -> datetime | None:
    """Return the true moment, where the clock was set to a zone and ran ahead by so much.

    The zone that is given counts, not the one the camera wrote: it is what was found out.
    """
    said = said_by_clock(exif)
    if said is None:
        return None
    try:
        # In universal time: where the clocks were put back, an hour of the wall comes twice.
        moment = said.replace(tzinfo=zone).astimezone(UTC) - timedelta(seconds=ahead_seconds)
    except OverflowError:
        return None
    return moment.astimezone(zone)


def taken_at(exif: dict[str, Any], zone: ZoneInfo) -> datetime | None:
    """Return the camera's time; in the office's zone where the camera names none."""
    moment = said_by_clock(exif)
    if moment is None:
        return None
    try:
        offset = datetime.strptime(exif.get("taken_offset", ""), "%z").tzinfo
    except ValueError:
        offset = None
    return moment.replace(tzinfo=offset or zone)
