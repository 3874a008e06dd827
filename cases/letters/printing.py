"""A letter as PDF: letterhead, window address, our reference, text, page of pages."""

from __future__ import annotations

import tempfile
from datetime import datetime
from pathlib import Path

from django.conf import settings

from cases.letters.merging import Piece, paragraphs
from cases.letters.models import Letter
from me_office.shell.templatetags.office import day
from me_office.typesetting import Typeset, typeset

TEMPLATE = Path(__file__).parent / "typst" / "letter.typ"


def print_letter(letter: Letter, *, at: datetime, draft: bool = False) -> Typeset:
    """Compile a letter; `letter` has its case and request. A draft says so on every page."""
    with tempfile.TemporaryDirectory(prefix="letter-") as name:
        return typeset(TEMPLATE, Path(name), letter_values(letter, draft=draft), at=at)


def letter_values(letter: Letter, *, draft: bool = False) -> dict[str, object]:
    """Return what the template prints, as plain values."""
    return {
        "office": {
            "name": settings.OFFICE_NAME,
            "address": " · ".join(_lines(settings.OFFICE_ADDRESS)),
            "phone": settings.OFFICE_PHONE,
        },
        "draft": draft,
        "reference": letter.reference,
        "yours": letter.request.cause_number,
        "date": day(letter.dated_on),
        "to": [letter.to_name, *_lines(letter.address)],
        "subject": letter.subject,
        "paragraphs": [
            [{"words": _printed(one), "gap": one.gap} for one in paragraph]
            for paragraph in paragraphs(letter.body)
        ],
        "signer": _lines(letter.signer),
        "enclosures": _lines(letter.enclosures),
    }


def _printed(piece: Piece) -> str:
    return f"{{{piece.words}}}" if piece.gap else piece.words


def _lines(text: str) -> list[str]:
    return [one.strip() for one in text.splitlines() if one.strip()]


def file_name(letter: Letter) -> str:
    """Return how a letter's file is called."""
    return f"letter-{letter.reference}.pdf".replace(" ", "-")
