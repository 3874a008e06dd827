"""No CSV that the office writes holds a cell that a spreadsheet would compute."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest

from me_office.csv_lines import csv_lines

ROOT = Path(__file__).resolve().parents[2]
GUARD = "me_office/csv_lines.py"
MODULES = {
    str(path.relative_to(ROOT)): path.read_text()
    for room in ("me_office", "cases", "findings", "evidence")
    for path in (ROOT / room).rglob("*.py")
}


@pytest.mark.parametrize("start", ["=", "+", "-", "@", "\t", "\r"])
def test_a_cell_that_would_be_a_formula_is_text(start: str):
    # What a formula begins with: OWASP, "CSV Injection" (source not checked).
    [line] = csv_lines([[f"{start}1", f"a{start}1", start]])
    first, second, third = line.removesuffix("\r\n").replace('"', "").split(",")
    assert (first, second, third) == (f"'{start}1", f"a{start}1", f"'{start}")


def test_other_cells_are_written_as_they_are():
    lines = list(csv_lines([["plain, with comma", 'a "b"', "", "'x", " =1", "Ø 4 × 3"], ["1"]]))
    # RFC 4180, section 2: fields with commas or quotes are quoted, a quote is doubled.
    assert lines == ['"plain, with comma","a ""b""",,\'x, =1,Ø 4 × 3\r\n', "1\r\n"]


def writes_csv(text: str) -> bool:
    """Tell whether a module uses a CSV writer of its own."""
    # Read node by node only where the word stands at all.
    return "csv" in text and any(
        (isinstance(node, ast.Import) and any(name.name == "csv" for name in node.names))
        or (isinstance(node, ast.ImportFrom) and node.module == "csv")
        for node in ast.walk(ast.parse(text))
    )


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("import csv", True),
        ("from csv import DictWriter", True),
        ("def f():\n    import csv as lines", True),
        ("import os, csv", True),
        ("from me_office.csv_lines import csv_lines", False),
        ("words = 'import csv'", False),
    ],
)
def test_a_writer_of_its_own_is_found(text: str, found: bool):
    assert writes_csv(text) is found


def test_every_csv_goes_through_the_guard():
    assert len(MODULES) > 600
    assert [name for name, text in MODULES.items() if writes_csv(text)] == [GUARD]
    sent = [name for name, text in MODULES.items() if "text/csv" in text or "def write_csv" in text]
    assert len(sent) == 2
    assert [name for name in sent if "csv_lines(" not in MODULES[name]] == []
