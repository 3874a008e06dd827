"""The documents that the office writes for an answer, as PDF."""

from __future__ import annotations

import shutil
import tempfile
from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import datetime
from pathlib import Path

from django.conf import settings

from me_office.shell.templatetags.office import moment
from me_office.typesetting import typeset

TEMPLATE = Path(__file__).parent / "typst" / "sheet.typ"


PICTURE = "picture.jpg"


@dataclass(frozen=True)
class SheetPart:
    """A heading with paragraphs and a table; a width of 0 is as wide as its content."""

    title: str = ""
    words: Sequence[str] = ()
    columns: Sequence[str] = ()
    widths: Sequence[int] = ()
    rows: Sequence[Sequence[str]] = ()


@dataclass(frozen=True)
class Sheet:
    """What one document says."""

    title: str
    intro: Sequence[str] = ()
    facts: Sequence[tuple[str, str]] = ()
    parts: Sequence[SheetPart] = ()
    cautions: Sequence[str] = ()
    signatures: Sequence[str] = field(default_factory=tuple)
    # A JPEG that fills the page below the title.
    picture: Path | None = None


def write_sheet(sheet: Sheet, there: Path, *, about: str, at: datetime) -> int:
    """Write a document as PDF/A and PDF/UA; return how many pages it has."""
    with tempfile.TemporaryDirectory(prefix="sheet-", dir=there.parent) as name:
        if sheet.picture is not None:
            shutil.copyfile(sheet.picture, Path(name) / PICTURE)
        made = typeset(TEMPLATE, Path(name), _values(sheet, about, at), at=at)
    there.write_bytes(made.pdf)
    return made.pages


def _values(sheet: Sheet, about: str, at: datetime) -> dict[str, object]:
    return {
        "office": {"name": settings.OFFICE_NAME, "address": settings.OFFICE_ADDRESS},
        "title": sheet.title,
        "about": about,
        "keyword": sheet.title.lower(),
        "foot": f"{sheet.title} · as approved {moment(at)}",
        "intro": list(sheet.intro),
        "facts": [[label, words] for label, words in sheet.facts if words],
        "parts": [
            {
                "title": part.title,
                "words": list(part.words),
                "columns": list(part.columns),
                "widths": list(part.widths) or [1 for _ in part.columns],
                "rows": [list(row) for row in part.rows],
            }
            for part in sheet.parts
        ],
        "cautions": list(sheet.cautions),
        "signatures": list(sheet.signatures),
        "picture": PICTURE if sheet.picture is not None else "",
    }
