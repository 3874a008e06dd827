"""How the office stands to the published criteria of accessibility, for page and document.

`python -m me_office.shell.criteria` writes docs/accessibility.md of the same table. The criteria
are those of WCAG 2.2, levels A and AA, with the version that brought each; EN 301 549 V3.2.1 takes
those of 2.1 into its clause 9, Section 508 (36 CFR 1194, appendices A and C) those of 2.0. The
clauses of EN 301 549 are named from memory; the sections of 36 CFR 1194 were read.
"""

from __future__ import annotations

import json
from functools import cache
from pathlib import Path
from typing import TypedDict

TABLE = Path(__file__).with_name("criteria.json")
PAGE = Path(__file__).resolve().parents[2] / "docs" / "accessibility.md"

TESTED = (
    "One page of every template is read by axe-core, in light and dark, with the rules for WCAG "
    "2.2 A and AA.",
    "Each user's main work is done by keys alone, and what is announced meanwhile is compared with "
    "what it should be.",
    "The body chart, an upload, a form with a date and the courtroom screen are used in three "
    "browser engines (Chromium, Gecko, WebKit).",
    "All pages of the invented office are read for names, labels, headings, titles and tables; "
    "the main ones are measured at 320 and 640 pixels with wide text spacing.",
    "Screens were looked at in light, dark and forced colors.",
)
NOT_TESTED = (
    "Nobody who depends on a screen reader, a switch or speech input has tried the office: what is "
    "announced is read from the browser, not heard from a reader.",
    "The documents that it makes (report, certificate, exhibit list) say that they are PDF/UA-1; a "
    "test reads their tags, and nobody has had them read aloud.",
)


class Criterion(TypedDict):
    """A success criterion of WCAG, and how far it is met."""

    number: str
    name: str
    level: str
    since: str
    standing: str
    remark: str


class Use(TypedDict):
    """A way of using the office, by the numbers of both standards."""

    en: str
    section_508: str
    name: str
    standing: str
    remark: str


class Rest(TypedDict):
    """What the standards ask beside WCAG."""

    where: str
    name: str
    clauses: str
    standing: str
    remark: str


class Table(TypedDict):
    """All of it."""

    wcag: list[Criterion]
    uses: list[Use]
    rest: list[Rest]


@cache
def table() -> Table:
    """Return the table as it stands in its file."""
    read: Table = json.loads(TABLE.read_text(encoding="utf-8"))
    return read


def not_whole() -> list[Criterion]:
    """The criteria that are not met, or not in every part."""
    return [one for one in table()["wcag"] if one["standing"] in {"partly met", "not met"}]


def as_markdown() -> str:
    """Return the document: what was tested, what was not, and the tables."""
    all_of_it = table()
    wcag = _rows(
        ["Criterion", "Level", "Since", "Standing", "Remark"],
        [
            [f"{one['number']} {one['name']}", one["level"], one["since"], one["standing"],
             one["remark"]]
            for one in all_of_it["wcag"]
        ],
    )  # fmt: skip
    uses = _rows(
        ["EN 301 549", "Section 508", "Use", "Standing", "Remark"],
        [
            [one["en"], one["section_508"], one["name"], one["standing"], one["remark"]]
            for one in all_of_it["uses"]
        ],
    )
    rest = _rows(
        ["Where", "What", "Clauses", "Standing", "Remark"],
        [
            [one["where"], one["name"], one["clauses"], one["standing"], one["remark"]]
            for one in all_of_it["rest"]
        ],
    )
    tested = "".join(f"- {one}\n" for one in TESTED)
    untested = "".join(f"- {one}\n" for one in NOT_TESTED)
    return (
        "# Accessibility\n\n"
        "Written by `python -m me_office.shell.criteria` from the table that the page\n"
        "*Accessibility* of the office shows. The aim is WCAG 2.2, levels A and AA.\n\n"
        f"## What was tested\n\n{tested}\n## What was not\n\n{untested}\n"
        "## WCAG 2.2, levels A and AA\n\n"
        "EN 301 549 V3.2.1 asks in its clauses 9.1 to 9.4 for those that 2.0 and 2.1 brought, by\n"
        "the same numbers (9.1.1.1 is 1.1.1); Section 508 in E205.4 for those of 2.0. Both also\n"
        "ask for 4.1.1, Parsing, which WCAG 2.2 took away and which HTML, as browsers read it,\n"
        "always meets.\n\n"
        f"{wcag}\n## Ways of use\n\n{uses}\n## What else the two standards ask\n\n{rest}"
    )


def _rows(head: list[str], rows: list[list[str]]) -> str:
    lines = [head, ["---"] * len(head), *rows]
    return "".join(f"| {' | '.join(line)} |\n" for line in lines)


if __name__ == "__main__":
    PAGE.write_text(as_markdown(), encoding="utf-8")
