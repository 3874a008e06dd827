"""The body chart on paper: every view with its numbered marks and their legend, as vectors."""

from __future__ import annotations

import json
import re
import shutil
import tempfile
from collections.abc import Sequence
from dataclasses import asdict, dataclass
from datetime import datetime
from pathlib import Path
from typing import Final

import typst
from django.conf import settings

from findings.body.drawing import Mark, chart_svg
from findings.chart.queries import chart_mark
from findings.chart.tabs import ALL_VIEWS, is_schematic, title_of
from findings.models import Examination, Finding
from me_office.typesetting import fonts

TEMPLATE = Path(__file__).parent / "typst" / "chart.typ"
ALWAYS = ("anterior", "posterior")
STANDARDS: Final = "a-3b"
_NUMBER = re.compile(r'<g class="mark mark-[^>]* data-number="(\d+)"')
SCHEMATIC_NOTE = "Schematic: shows how parts lie, not their true shape or size."


@dataclass(frozen=True)
class LegendRow:
    """One line under a view: the number, and what it stands for."""

    number: str
    term: str
    place: str
    size: str
    klass: str


@dataclass(frozen=True)
class Sheet:
    """One view as it is printed."""

    view: str
    title: str
    svg: str
    rows: tuple[LegendRow, ...]
    note: str


def sheets_of(
    examination: Examination, findings: Sequence[Finding], *, every: bool, standalone: bool
) -> list[Sheet]:
    """The views that hold a mark, front and back in any case; every view when asked for."""
    marks = [chart_mark(one, mark) for one in findings for mark in one.marks.all()]
    placed = {mark.view for mark in marks}
    by_number = {one.number: one for one in findings}
    return [
        _sheet(examination.chart_body, view, marks, by_number, standalone)
        for view in ALL_VIEWS
        if every or view in placed or view in ALWAYS
    ]


def _sheet(
    body: str, view: str, marks: list[Mark], by_number: dict[int, Finding], standalone: bool
) -> Sheet:
    svg = chart_svg(body, view, marks, standalone=standalone)
    seen = sorted({int(number) for number in _NUMBER.findall(svg)})
    return Sheet(
        view=view,
        title=title_of(view),
        svg=svg,
        rows=tuple(_row(by_number[number]) for number in seen),
        note=SCHEMATIC_NOTE if is_schematic(view) else "",
    )


def _row(finding: Finding) -> LegendRow:
    letters = sorted({mark.letter for mark in finding.marks.all() if mark.letter})
    number = " ".join(f"{finding.number}{letter}" for letter in letters) or str(finding.number)
    return LegendRow(number, finding.term, finding.place, finding.size_words, finding.klass)


@dataclass(frozen=True)
class Heading:
    """What stands on every page: the office, the case, its state, who printed it and when."""

    office: str
    case_line: str
    state: str
    printed: str
    at: datetime


def chart_pdf(heading: Heading, sheets: Sequence[Sheet]) -> bytes:
    """The chart as a PDF/A, one view a page; marks stay vectors."""
    with tempfile.TemporaryDirectory(prefix="chart-") as name:
        folder = Path(name)
        shutil.copyfile(TEMPLATE, folder / "chart.typ")
        for sheet in sheets:
            (folder / f"{sheet.view}.svg").write_text(sheet.svg, encoding="utf-8")
        (folder / "chart.json").write_text(
            json.dumps(_values(heading, sheets), ensure_ascii=False), encoding="utf-8"
        )
        compiler = typst.Compiler(
            str(folder / "chart.typ"),
            root=str(folder),
            font_paths=fonts(),
            ignore_system_fonts=True,
            sys_inputs={"paper": settings.OFFICE_PAPER},
        )
        pdf = compiler.compile(
            format="pdf", pdf_standards=STANDARDS, timestamp=int(heading.at.timestamp())
        )
    if not isinstance(pdf, bytes):
        raise TypeError("Typst gave no PDF")
    return pdf


def _values(heading: Heading, sheets: Sequence[Sheet]) -> dict[str, object]:
    return {
        "title": f"Body chart, {heading.case_line}",
        "office": heading.office,
        "case_line": heading.case_line,
        "state": heading.state,
        "printed": heading.printed,
        "sheets": [
            {
                "title": sheet.title,
                "file": f"{sheet.view}.svg",
                "alternative": f"Body chart, {sheet.title.lower()}, {len(sheet.rows)} findings",
                "rows": [asdict(row) for row in sheet.rows],
                "note": sheet.note,
            }
            for sheet in sheets
        ],
    }
