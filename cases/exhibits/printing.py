"""The contact sheet as PDF: what its template prints, and the small pictures beside it."""

from __future__ import annotations

import tempfile
from collections.abc import Mapping, Sequence
from datetime import datetime
from pathlib import Path
from typing import Any
from uuid import UUID

from django.conf import settings

from cases.exhibits.models import Exhibit, ExhibitSet
from cases.exhibits.queries import files_to_print
from evidence import store
from evidence.imaging import pictures
from me_office.shell.templatetags.office import moment
from me_office.statements import COMMON_PRACTICE, statement
from me_office.typesetting import Typeset, typeset

TEMPLATE = Path(__file__).parent / "typst" / "contact-sheet.typ"
# Three beside each other on a letter page, at more than 300 points an inch.
PRINTED_PX = 720
CAUTION = statement(
    "exhibits.contact-sheet",
    "A finding aid, not evidence: the originals are kept under their digests. The court rules on "
    "which pictures may be shown.",
    where="Exhibits, contact sheet",
    source=COMMON_PRACTICE,
).text


def print_contact_sheet(
    exhibit_set: ExhibitSet, exhibits: Sequence[Exhibit], *, at: datetime
) -> Typeset:
    """Compile the sheet of a set's exhibits, each as `exhibits_to_present` reads it."""
    with tempfile.TemporaryDirectory(prefix="contact-sheet-") as name:
        folder = Path(name)
        names = {}
        for key, stored in files_to_print(exhibits).items():
            names[key] = f"photograph-{key}.jpg"
            with store.open_stored(stored) as file:
                copy = pictures.smaller_copy(file, longest_px=PRINTED_PX)
            (folder / names[key]).write_bytes(copy)
        values = sheet_values(exhibit_set, exhibits, names=names, at=at)
        return typeset(TEMPLATE, folder, values, at=at)


def sheet_values(
    exhibit_set: ExhibitSet,
    exhibits: Sequence[Exhibit],
    *,
    names: Mapping[UUID, str],
    at: datetime,
) -> dict[str, object]:
    """Return what the template prints, as plain values."""
    cause = f"cause {exhibit_set.cause_number}" if exhibit_set.cause_number else ""
    count = len(exhibits)
    return {
        "office": settings.OFFICE_NAME,
        "case": exhibit_set.case.label,
        "title": exhibit_set.title,
        "about": [words for words in (exhibit_set.court, cause) if words],
        "count": "1 exhibit" if count == 1 else f"{count} exhibits",
        "printed": moment(at),
        "exhibits": [_values(exhibit, names) for exhibit in exhibits],
        "caution": CAUTION,
    }


def _values(exhibit: Exhibit, names: Mapping[UUID, str]) -> dict[str, object]:
    pictures: list[Any] = exhibit.pictures
    findings = ", ".join(f"{one.number} {one.term.lower()}" for one in exhibit.findings)
    digests = ", ".join(one.photograph.file.sha256[:16] for one in pictures)
    several = len(pictures) > 1
    about = [
        f"finding {findings}" if findings else "",
        "redacted copy" if exhibit.redaction else "",
        f"SHA-256 of the original{'s' if several else ''} {digests}",
    ]
    return {
        "pictures": [
            {
                "file": names.get(one.photograph.pk),
                "alternative": alternative(exhibit, one.label),
            }
            for one in pictures
        ],
        "columns": exhibit.columns,
        "number": exhibit.number,
        "photographs": f"photograph{'s' if several else ''} "
        + ", ".join(str(one.photograph.number) for one in pictures),
        "caption": exhibit.caption,
        "about": [words for words in about if words],
    }


def alternative(exhibit: Exhibit, label: str) -> str:
    """What is read in place of a picture: the caption, and which of several it is."""
    which = f", {label}" if label else ""
    return f"Exhibit {exhibit.number}{which}: {exhibit.caption}"
