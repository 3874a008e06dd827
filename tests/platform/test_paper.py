"""Documents are made for the office's paper.

Letter is 8.5 by 11 inches (ANSI/ASME Y14.1, size A); A4 is 210 by 297 mm (ISO 216). Both from
memory, source not checked.
"""

from __future__ import annotations

import json
from datetime import UTC, datetime
from io import BytesIO
from pathlib import Path

import pikepdf
import pytest

from findings.chart.sheets import TEMPLATE as CHART
from me_office.environment.table import PAPERS
from me_office.typesetting import typeset

POINTS = 72
SIZES = {"letter": (8.5 * POINTS, 11 * POINTS), "a4": (210 / 25.4 * POINTS, 297 / 25.4 * POINTS)}
TEMPLATE = """
#import "office.typ": office-document
#show: office-document.with(title: "Plain")
= Plain
One line.
#context [#metadata(counter(page).final().first()) <pages>]
"""


@pytest.mark.parametrize("paper", PAPERS)
def test_a_document_is_of_the_paper_that_the_office_uses(tmp_path: Path, settings, paper: str):
    settings.OFFICE_PAPER = PAPERS[paper]
    template, folder = tmp_path / "plain.typ", tmp_path / "folder"
    template.write_text(TEMPLATE)
    folder.mkdir()
    made = typeset(template, folder, {}, at=datetime(2026, 3, 2, 12, tzinfo=UTC))
    with pikepdf.open(BytesIO(made.pdf)) as read:
        box = [float(side) for side in read.pages[0].MediaBox]
    assert box == pytest.approx([0, 0, *SIZES[paper]], abs=0.01)


def test_every_template_asks_for_the_paper():
    root = Path(__file__).resolve().parents[2]
    texts = {
        path: path.read_text()
        for folder in ("me_office", "cases", "findings", "evidence")
        for path in (root / folder).rglob("*.typ")
    }
    assert CHART in texts
    fixed = [path.name for path, text in texts.items() if json.dumps("us-letter") in text]
    assert fixed == []
