"""The certificate's items as PDF, for whoever keys them in."""

from __future__ import annotations

import tempfile
from datetime import datetime
from pathlib import Path

from django.conf import settings

from cases.certification.cautions import NOT_A_CERTIFICATE
from cases.certification.models import RegistrarStatement
from cases.certification.queries import Sheet, Stated, statements_told
from cases.certification.sheet import NOT_STATED, ItemChange
from cases.models import Case
from me_office.accounts.models import Staff
from me_office.shell.templatetags.office import day, moment
from me_office.typesetting import Typeset, typeset

TEMPLATE = Path(__file__).parent / "typst" / "worksheet.typ"


def print_worksheet(case: Case, sheet: Sheet, *, by: Staff, at: datetime) -> Typeset:
    """Compile the worksheet; `case` has its decedent."""
    with tempfile.TemporaryDirectory(prefix="worksheet-") as name:
        return typeset(TEMPLATE, Path(name), worksheet_values(case, sheet, by=by, at=at), at=at)


def worksheet_values(case: Case, sheet: Sheet, *, by: Staff, at: datetime) -> dict[str, object]:
    """Return what the template prints, as plain values."""
    sections: dict[str, list[dict[str, object]]] = {}
    for row in sheet.rows:
        shown = {
            "item": row.item,
            "label": row.label,
            "text": row.text or NOT_STATED,
            "stated": bool(row.text),
        }
        sections.setdefault(row.section, []).append(shown)
    return {
        "office": settings.OFFICE_NAME,
        "case": case.label,
        "caution": NOT_A_CERTIFICATE.say(),
        "sections": [{"title": title, "rows": rows} for title, rows in sections.items()],
        "statements": [_told(one) for one in statements_told(sheet.statements)],
        "pending_changes": _changed(sheet.changes),
        "basis": sheet.certification.basis if sheet.certification else "",
        "printed": f"{moment(at)} by {by.printed_name}",
    }


def _told(one: Stated) -> dict[str, object]:
    return {
        "title": statement_words(one.statement, one.before),
        "why": one.statement.why,
        "changes": _changed(one.changes),
    }


def statement_words(statement: RegistrarStatement, before: RegistrarStatement | None) -> str:
    """A statement in a sentence: when, by whom, and what it amends."""
    said = (
        f"Statement {statement.number}, certified on {day(statement.certified_on)}; recorded "
        f"{moment(statement.stated_at)} by {statement.stated_by.printed_name}"
    )
    if before is None:
        return said
    return f"{said}; amends the statement of {day(before.certified_on)}"


def _changed(changes: list[ItemChange]) -> list[dict[str, str]]:
    return [
        {
            "item": one.item,
            "label": one.label,
            "was": one.was or NOT_STATED,
            "now": one.now or NOT_STATED,
        }
        for one in changes
    ]
