"""Whether a document may be put together with others, and what it may not bring along.

A PDF from elsewhere may be made to do harm: of a size that no page has, with more pages or objects
than a person could send, with content that grows when it is unpacked. Such a document goes beside
the numbered pages, as it is kept. Programs, files within it and forms go into no combined PDF.
"""

from __future__ import annotations

import zlib
from typing import Any

import pikepdf
from pikepdf import Array, Dictionary, Name, Pdf, Stream, String

MOST_PAGES = 5_000
MOST_OBJECTS = 400_000
# A page that is longer than any printer takes; ISO 32000-1 names this limit (from memory).
MOST_PT = 14_400.0
# What a page draws, unpacked, and packed in a way that is not measured here.
MOST_CONTENT = 96 * 1024 * 1024
MOST_UNMEASURED = 2 * 1024 * 1024

LOCKED = "it is protected by a password or by rights"
NO_PAGES = "it has no pages"
TOO_LONG = f"it has more than {MOST_PAGES} pages"
TOO_MUCH = "it holds more than a document needs"
WRONG_SIZE = "a page of it has a size that no page has"
DRAWS_TOO_MUCH = "a page of it draws more than a page holds"

# Notes on a page that carry a file, play or run something.
_ACTIVE = frozenset({
    "/FileAttachment", "/Sound", "/Movie", "/Screen", "/RichMedia", "/3D", "/Widget", "/TrapNet",
})  # fmt: skip
_OF_PAGES = ("/AA", "/AF", "/PieceInfo", "/Metadata", "/Thumb", "/PresSteps", "/Trans", "/Dur")
_OF_NOTES = ("/AA", "/AF", "/PA", "/RichMediaContent", "/Movie", "/Sound", "/FS", "/3DD")
_SCHEMES = ("http://", "https://", "mailto:")


def why_unfit(pdf: Pdf) -> str:
    """Return why a document goes beside the numbered pages, or nothing."""
    if pdf.is_encrypted:
        return LOCKED
    if len(pdf.objects) > MOST_OBJECTS:
        return TOO_MUCH
    pages = len(pdf.pages)
    if not pages:
        return NO_PAGES
    if pages > MOST_PAGES:
        return TOO_LONG
    for page in pdf.pages:
        if not _has_a_size(page):
            return WRONG_SIZE
        if not _draws_a_page(page):
            return DRAWS_TOO_MUCH
    return ""


def _has_a_size(page: pikepdf.Page) -> bool:
    try:
        left, low, right, high = (float(one) for one in page.mediabox)
        unit = float(page.obj.get(Name.UserUnit, 1))
    except (TypeError, ValueError, pikepdf.PdfError):
        return False
    sides = abs(right - left) * unit, abs(high - low) * unit
    return all(1.0 <= side <= MOST_PT for side in sides) and max(map(abs, (left, low))) <= 1e6


def _draws_a_page(page: pikepdf.Page) -> bool:
    contents = page.obj.get(Name.Contents)
    streams = list(contents) if isinstance(contents, Array) else [contents]
    left = MOST_CONTENT
    for one in streams:
        if isinstance(one, Stream):
            left -= _length(one, left)
            if left < 0:
                return False
    return True


def _length(stream: Any, most: int) -> int:
    """Return how long a stream is unpacked; more than `most` where it is not worth to measure."""
    raw = stream.read_raw_bytes()
    filters = stream.get(Name.Filter)
    names = [str(one) for one in filters] if isinstance(filters, Array) else [str(filters)]
    if filters is None:
        return len(raw)
    if names == ["/FlateDecode"]:
        unpacking = zlib.decompressobj()
        try:
            return len(unpacking.decompress(raw, most + 1))
        except zlib.error:
            return len(raw)
    return len(raw) if len(raw) <= MOST_UNMEASURED else most + 1


def keep_quiet(page: pikepdf.Page) -> list[Any]:
    """Take out what a page and the notes on it can do by themselves; return the notes that stay."""
    for name in _OF_PAGES:
        if name in page:
            del page[name]
    notes = page.obj.get(Name.Annots)
    every = (
        [one for one in notes if isinstance(one, Dictionary)] if isinstance(notes, Array) else []
    )
    kept = [one for one in every if str(one.get(Name.Subtype)) not in _ACTIVE]
    if Name.Annots in page:
        page.Annots = Array(kept)
    for one in kept:
        for name in _OF_NOTES:
            if name in one:
                del one[name]
        _only_leads(one)
    return kept


def _only_leads(note: Any) -> None:
    """Let a note lead to a page or to an address of the web, and do nothing else."""
    action = note.get(Name.A)
    if action is None:
        return
    kind = action.get(Name.S) if isinstance(action, Dictionary) else None
    if kind == Name.URI and not str(action.get(Name.URI, "")).lower().startswith(_SCHEMES):
        kind = None
    if kind not in (Name.GoTo, Name.URI):
        del note[Name.A]
    elif Name.Next in action:
        del action[Name.Next]


def take_out_files(whole: Pdf) -> int:
    """Take files and programs out of every object that came along; return how many there were."""
    found = 0
    for one in whole.objects:
        if not isinstance(one, Dictionary | Stream):
            continue
        for name in ("/AF", "/EF", "/JS"):
            if name in one and _carries(name, one[name]):
                del one[name]
                found += 1
    return found


def _carries(name: str, value: Any) -> bool:
    # A font or a picture may be called so among what a page draws with.
    if name == "/JS":
        return isinstance(value, String)
    if name == "/AF":
        return isinstance(value, Array) or (isinstance(value, Dictionary) and "/EF" in value)
    return isinstance(value, Dictionary) and ("/F" in value or "/UF" in value)
