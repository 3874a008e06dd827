"""What a file is by how it begins, and what is said of something handed over apart. No database."""

from __future__ import annotations

from datetime import date

# What the proxy lets through is a little more, for the form around it.
MOST_BYTES = 120 * 1024 * 1024
# How a file begins, and what it is then; what is known by none of these goes as it is.
_BEGINS = (
    (b"%PDF-", "application/pdf"),
    (b"\xff\xd8\xff", "image/jpeg"),
    (b"\x89PNG\r\n\x1a\n", "image/png"),
    (b"ID3", "audio/mpeg"),
    (b"\xff\xfb", "audio/mpeg"),
    (b"\xff\xf3", "audio/mpeg"),
    (b"OggS", "audio/ogg"),
    (b"fLaC", "audio/flac"),
    (b"\x1aE\xdf\xa3", "video/x-matroska"),
)
_ENDINGS = {
    "application/pdf": "pdf", "image/jpeg": "jpg", "image/png": "png", "audio/mpeg": "mp3",
    "audio/ogg": "ogg", "audio/flac": "flac", "audio/wav": "wav", "video/mp4": "mp4",
    "audio/mp4": "m4a", "video/quicktime": "mov", "video/x-matroska": "mkv",
}  # fmt: skip
_BRANDS = {b"qt  ": "video/quicktime", b"M4A ": "audio/mp4"}
UNKNOWN = "application/octet-stream"


def kind_of(begins: bytes) -> str:
    """Return the media type of a file by its first bytes, whatever its name says."""
    for beginning, kind in _BEGINS:
        if begins.startswith(beginning):
            return kind
    if begins[:4] == b"RIFF" and begins[8:12] == b"WAVE":
        return "audio/wav"
    if begins[4:8] == b"ftyp":
        return _BRANDS.get(begins[8:12], "video/mp4")
    return UNKNOWN


def ending_of(kind: str) -> str:
    """Return how the name of a file of this type ends."""
    return _ENDINGS.get(kind, "bin")


def wrong_size(size_bytes: int) -> str:
    """Return what is wrong with the length of a file, or nothing."""
    if size_bytes <= 0:
        return "This file is empty."
    if size_bytes > MOST_BYTES:
        return f"This file is larger than {MOST_BYTES // 1024**2} MB. Hand it over separately."
    return ""


def wrong_apart(to_whom: str, on: date | None) -> dict[str, str]:
    """Return, by field, what is lacking where something was handed over apart."""
    wrong = {}
    if not to_whom.strip():
        wrong["apart_to"] = "Say to whom."
    if on is None:
        wrong["apart_on"] = "Say on which day."
    return wrong
