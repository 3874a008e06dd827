"""Documents of the office as PDF: one compile by Typst to PDF/A-3b and PDF/UA-1.

Everything that people wrote goes to a template as JSON; no word of it is ever read as markup. A
template imports `office.typ`, which holds the office's page, type and colors.
"""

from __future__ import annotations

import json
import re
import shutil
from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import datetime
from functools import cache
from pathlib import Path
from typing import Any

import fontpkg_source_sans_3
import fontpkg_source_serif_4
import typst
from django.conf import settings

SHARED = Path(__file__).parent / "office.typ"
LANGUAGE = "en"
STANDARDS: list[Any] = ["a-3b", "ua-1"]
# What the two faces can print: Latin, Greek, Cyrillic, their marks and punctuation.
_PRINTABLE = re.compile(
    "[\n\u0020-\u007e\u00a0-\u024f\u02b0-\u036f\u0370-\u03ff\u0400-\u045f\u1e00-\u1eff"
    "\u2010-\u2027\u2030-\u203a\u2044\u20ac\u2116\u2122\u2190-\u2193\u2212\u2248\u2260\u2264\u2265]"
)


@dataclass(frozen=True)
class Typeset:
    """A document as PDF, and what was asked of it: the values of its metadata, by label."""

    pdf: bytes
    pages: int
    told: dict[str, list[Any]] = field(default_factory=dict)


def typeset(
    template: Path,
    folder: Path,
    values: dict[str, object],
    *,
    at: datetime,
    asked: Sequence[str] = (),
    large: bool = False,
) -> Typeset:
    """Compile a template in a private folder, where its pictures lie already.

    The template finds `values` as JSON under its own name, and ends with the metadata `<pages>`.
    `at` is the document's time: the same content at the same time gives the same bytes. `asked`
    are labels of metadata, such as `<line>`. `large` is large print, where the template knows it.
    """
    shutil.copyfile(SHARED, folder / SHARED.name)
    shutil.copyfile(template, folder / template.name)
    words = json.dumps(words_of(template), ensure_ascii=False)
    (folder / "words.json").write_text(words, encoding="utf-8")
    content = json.dumps(_printable_in(values), ensure_ascii=False)
    (folder / f"{template.stem}.json").write_text(content, encoding="utf-8")
    compiler = typst.Compiler(
        str(folder / template.name),
        root=str(folder),
        font_paths=fonts(),
        ignore_system_fonts=True,
        sys_inputs={"paper": settings.OFFICE_PAPER, "print": "large" if large else "usual"},
    )
    pdf = compiler.compile(
        format="pdf", pdf_standards=STANDARDS, timestamp=int(at.timestamp()), pdf_tags=True
    )
    pages = json.loads(compiler.query("<pages>", field="value", one=True))
    if not isinstance(pdf, bytes):
        raise TypeError("Typst gave no PDF")
    told = {label: json.loads(compiler.query(label, field="value")) for label in asked}
    return Typeset(pdf, int(pages), told)


def words_of(template: Path, language: str = LANGUAGE) -> dict[str, Any]:
    """Return a template's own words and those of every document, by key, in a language.

    They stand beside it (`report.words.en.json`): another language is another file, and a template
    says nothing that is not in it.
    """
    said: dict[str, Any] = {}
    for one in (SHARED, template):
        beside = one.with_name(f"{one.stem}.words.{language}.json")
        if beside.exists():
            said |= json.loads(beside.read_text(encoding="utf-8"))
    return said


@cache
def fonts() -> typst.Fonts:
    """The faces of every printed page, whatever the machine has."""
    faces = [
        str(Path(package.__file__).parent / "files")
        for package in (fontpkg_source_sans_3, fontpkg_source_serif_4)
    ]
    return typst.Fonts(
        include_system_fonts=False, include_embedded_fonts=False, font_paths=[*faces]
    )


def printable(text: str) -> str:
    """Return the text with every character that the office's faces lack written as [U+4E2D].

    PDF/A (ISO 19005-3, 6.2.11.8) allows no character without its glyph; a letter that is left out
    silently would change what a document says.
    """
    if all(_PRINTABLE.fullmatch(character) for character in set(text)):
        return text
    return "".join(
        character if _PRINTABLE.fullmatch(character) else _named(character) for character in text
    )


def _named(character: str) -> str:
    return " " if character in "\t\r\x0b\x0c" else f"[U+{ord(character):04X}]"


def _printable_in(value: Any) -> Any:
    if isinstance(value, str):
        return printable(value)
    if isinstance(value, dict):
        return {name: _printable_in(one) for name, one in value.items()}
    if isinstance(value, list | tuple):
        return [_printable_in(one) for one in value]
    return value
