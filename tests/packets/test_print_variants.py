"""The report's template: its words, rows and signatures that stay together, large print.

Large print: text of 18 points, and none below 16 (common practice for readers with low vision).
"""

from __future__ import annotations

import io
import json
import re
from datetime import UTC, datetime
from pathlib import Path

import pikepdf
import pypdf
import pytest

from cases.packets.printing import TEMPLATE
from me_office import typesetting
from me_office.typesetting import SHARED, typeset, words_of

AT = datetime(2026, 3, 2, 12, tzinfo=UTC)
LONG = "A long description of what was found, told at some length and without a break. " * 4


def passage(key: str, text: str, **more: object) -> dict[str, object]:
    empty = {"lead": "", "amended": [], "group": "", "numbers": [], "photographs": []}
    return {"key": key, "text": text, "measured": [], **empty, **more}


def values(**more: object) -> dict[str, object]:
    """What the template prints of a small signed report; each part once."""
    told = [passage(f"history-{n}", f"Passage {n}. {LONG}") for n in range(1, 8)]
    return {
        "office": {"name": "Office", "address": "", "phone": ""},
        "case": {"label": "2026-0001", "name": "A. Decedent"},
        "mark": "",
        "facts": [{"label": "Fact", "text": "told", "amended": []}],
        "sections": [
            {"key": "history", "title": "History", "passages": told, "columns": [], "rows": []}
        ],
        "since": "addendum 1",
        "addenda": [
            {
                "number": 1, "title": "Addendum 1", "who": "I. Vasko, MD", "when": "today",
                "amends": "old", "text": "new", "why": "found", "rests_on": "result 1",
                "passages": [],
            }
        ],
        "late_results": [{"title": "Result 2", "text": "later", "state": "waits"}],
        "sign_off": {
            "author": "I. Vasko, MD", "author_title": "pathologist", "author_did": "By",
            "statement": "All of it.", "sent": "today", "review_heading": "Reviewed by",
            "reviewer": "M. Thorne, MD", "reviewer_title": "chief", "review": "", "when": "today",
            "words": "Agreed.", "sha256": "ab" * 32,
        },
        "charts": [], "legend": [], "photographs": [],
        "log": [
            {"number": 1, "cells": ["now", "him", "near", "all"], "findings": [1], "sha256": "ab"}
        ],
        "redactions": [
            {"number": 1, "why": "face", "by": "him", "how": "one", "sha256": "ab"}
        ],
        "measurements": [
            {
                "photograph": 1, "number": 1, "findings": [], "sizes": "1 cm", "about": "",
                "scale": "ruler", "method": "straight",
            }
        ],
        "measured_caution": "As measured.",
        "withdrawn": [],
        "custody": [
            {
                "title": "Items",
                "items": [
                    {
                        "title": "Item 1", "words": "no gap", "gap": False,
                        "rows": [["now", "him", "here", "this", "whole"]],
                    }
                ],
            }
        ],
        "cautions": ["Careful."],
        "signatures": {
            "code": "K7QF-2M9X-4TBD", "address": "office.test/verify/", "recorded": "",
            "digital": True,
            "signers": [
                {
                    "name": "I. Vasko, MD", "role": "author", "when": "today",
                    "statement": "All of it.", "serial": "7A", "issuer": "Office Authority",
                }
            ],
        },
        "zone": "America/New York",
        **more,
    }  # fmt: skip


def printed(folder: Path, *, large: bool = False, **more: object) -> pypdf.PdfReader:
    folder.mkdir(exist_ok=True)
    (folder / "signed-text.json").write_text("{}")
    made = typeset(TEMPLATE, folder, values(**more), at=AT, large=large)
    with pikepdf.open(io.BytesIO(made.pdf)) as opened, opened.open_metadata() as meta:
        assert (meta["pdfaid:part"], meta["pdfuaid:part"]) == ("3", "1")
    return pypdf.PdfReader(io.BytesIO(made.pdf))


def pages_of(read: pypdf.PdfReader) -> list[str]:
    return [" ".join(page.extract_text().split()) for page in read.pages]


def lowest(read: pypdf.PdfReader) -> float:
    """How far above the end of its page the lowest word stands, in points."""
    found: list[float] = []

    def see(text: str, current: list[float], at: list[float], *_: object) -> None:
        if text.strip():
            found.append(at[5] * abs(current[3]) + current[5])

    for page in read.pages:
        page.extract_text(visitor_text=see)
    return min(found)


def test_every_word_of_the_template_comes_from_the_file_of_its_language(tmp_path, monkeypatch):
    """Printed in a language of no letters, what still has letters is a value, or was written in."""
    here = words_of(TEMPLATE)

    def in_no_language(template: Path, language: str = "en") -> dict[str, object]:
        def crossed(words: object) -> object:
            if isinstance(words, list):
                return [crossed(one) for one in words]
            parts = re.split(r"(\{\w+\})", str(words))
            return "".join(p if p.startswith("{") else re.sub(r"\w", "×", p) for p in parts)

        kept = ("language", "region")
        return {key: one if key in kept else crossed(one) for key, one in here.items()}

    monkeypatch.setattr(typesetting, "words_of", in_no_language)
    for large in (False, True):
        text = " ".join(pages_of(printed(tmp_path / str(large), large=large)))
        known = json.dumps(values(), ensure_ascii=False)
        left = {word for word in re.findall(r"[A-Za-z]{2,}", text) if word not in known}
        assert left == set()


def test_no_template_says_words_that_are_not_in_its_file():
    """The same for parts that this report lacks: between brackets of content are no words."""
    source = re.sub(r"^\s*//.*$", "", TEMPLATE.read_text() + SHARED.read_text(), flags=re.M)
    contents = re.findall(r"\[([^\[\]\n]*)\]", re.sub(r'"[^"\n]*"', "", source))
    spelled = [re.sub(r"#[\w.\-]+(?:\([^)]*\))*|<[\w-]+>", "", one) for one in contents]
    sentences = [one for one in spelled if re.search(r"[A-Za-z]{2,}[.:]?\s|[A-Z][a-z]+", one)]
    assert [one for one in sentences if not re.search(r"[(){}=]| in | if ", one)] == []


def test_every_word_in_the_file_is_used():
    source = TEMPLATE.read_text() + SHARED.read_text()
    assert [key for key in words_of(TEMPLATE) if not re.search(rf"\bw\.{key}\b", source)] == []


@pytest.mark.parametrize("rows", [2, 8, 9])
@pytest.mark.parametrize("before", [3, 5, 7, 8])
def test_the_signatures_stand_with_the_end_of_what_is_signed(tmp_path, rows, before):
    """Wherever the page ends: with passages before it, short tables and long ones."""
    told = [passage(f"history-{n}", LONG) for n in range(before * 2)]
    sections = [
        {"key": "history", "title": "History", "passages": told, "columns": [], "rows": []},
        {
            "key": "specimens", "title": "Specimens", "passages": [],
            "columns": ["Item", "Material", "Site"],
            "rows": [[str(n), f"Blood row{n}", "left femoral vein"] for n in range(1, rows + 1)],
        },
    ]  # fmt: skip
    pages = pages_of(printed(tmp_path / "a", sections=sections))
    (signed,) = [one for one in pages if "Sign-off" in one]
    assert f"row{rows}" in signed.split("Sign-off")[0]
    assert sum(one.count("Material") for one in pages) <= sum("row" in one for one in pages)


@pytest.mark.parametrize("before", [5, 6, 9, 10, 11])
def test_they_stand_with_the_last_passage_too(tmp_path, before):
    told = [passage(f"history-{n}", f"Passage{n}. {LONG}") for n in range(before)]
    section = {"key": "history", "title": "History", "passages": told, "columns": [], "rows": []}
    pages = pages_of(printed(tmp_path / "a", sections=[section]))
    (signed,) = [one for one in pages if "Sign-off" in one]
    assert f"Passage{before - 1}." in signed.split("Sign-off")[0]


def test_no_row_of_a_table_stands_alone_on_the_next_page(tmp_path):
    """Wherever the page ends: short tables stand whole, of longer ones the last three rows."""
    sizes = [3, 4, 5, 6, 7, 8, 9, 10, 11, 12]
    sections = [
        {
            "key": f"organs-{n}", "title": f"Weights {n}", "passages": [],
            "columns": ["Organ", "Weight"],
            "rows": [[f"Organ{n}x{row}.", f"{row} g"] for row in range(1, rows + 1)],
        }
        for n, rows in enumerate(sizes)
    ]  # fmt: skip
    pages = pages_of(printed(tmp_path / "a", sections=sections))
    for n, rows in enumerate(sizes):
        (last,) = [page for page in pages if f"Organ{n}x{rows}." in page]
        assert last.count(f"Organ{n}x") >= (rows if rows <= 8 else 3), (n, rows)


def test_a_row_never_breaks_unless_it_is_longer_than_a_page(tmp_path):
    def table(words: str, rows: int) -> list[dict[str, object]]:
        cells = [[str(n), f"begin{n} {words} end{n}"] for n in range(1, rows + 1)]
        columns = ["Item", "What it is"]
        specimens = {"key": "s", "title": "Specimens", "passages": [], "columns": columns}
        return [{**specimens, "rows": cells}]

    for n, words in enumerate((LONG, LONG * 3)):
        pages = pages_of(printed(tmp_path / str(n), sections=table(words, 14)))
        for row in range(1, 15):
            assert any(f"begin{row} " in page and f"end{row} " in page + " " for page in pages)


@pytest.mark.parametrize(("rows", "large"), [(1, False), (9, False), (1, True)])
def test_no_row_runs_over_the_end_of_its_page(tmp_path, rows, large):
    """What runs over is in the file all the same, so the places of its letters are asked."""
    columns = ["Item", "What", "Where", "Who", "When"]
    narrow = [[f"{n}", *[LONG * 3] * 4] for n in range(rows)]
    endless = [[str(n), LONG * 24 if n == rows - 1 else LONG] for n in range(rows)]
    none = {"key": "s", "title": "Specimens", "passages": []}
    for name, heads, cells in (("a", columns, narrow), ("b", columns[:2], endless)):
        section = {**none, "columns": heads, "rows": cells}
        read = printed(tmp_path / name, sections=[section], large=large)
        assert lowest(read) > 0, (name, lowest(read))


def test_large_print_is_large_everywhere_and_says_all_of_it(tmp_path):
    usual, large = printed(tmp_path / "a"), printed(tmp_path / "b", large=True)
    sizes: set[float] = set()

    def see(text: str, current: list[float], at: list[float], font: object, size: float) -> None:
        if text.strip():
            sizes.add(round(size * abs(at[3]) * abs(current[3]), 1))

    for page in large.pages:
        page.extract_text(visitor_text=see)
    assert min(sizes) >= 16
    assert 18.0 in sizes
    said = {word for page in pages_of(usual) for word in re.findall(r"[A-Za-z]{3,}", page)}
    again = {word for page in pages_of(large) for word in re.findall(r"[A-Za-z]{3,}", page)}
    # At the foot of the original: when it was signed, its digest and its code.
    assert said - again <= {"Signed", "ab" * 8, "Code", "check", "Signatures"}
    # What became of a late result is told with it.
    assert "waits" in said
    assert "reading copy in large print" in pages_of(large)[0]
    assert "without signatures" in pages_of(large)[0]
