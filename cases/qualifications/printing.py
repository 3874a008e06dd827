"""An issued curriculum vitae as PDF."""

from __future__ import annotations

import tempfile
from datetime import date
from pathlib import Path
from typing import Any

from django.conf import settings
from django.utils.text import slugify

from cases.qualifications.models import CurriculumVersion
from cases.qualifications.rules import earlier_words, not_listed_words
from cases.review.rules import canonical_of
from me_office.shell.templatetags.office import day, moment
from me_office.typesetting import Typeset, typeset

TEMPLATE = Path(__file__).parent / "typst" / "curriculum-vitae.typ"


def print_curriculum(version: CurriculumVersion) -> Typeset:
    """Compile a version as it was issued: the same bytes each time."""
    with tempfile.TemporaryDirectory(prefix="curriculum-") as name:
        folder = Path(name)
        (folder / "content.json").write_bytes(canonical_of(version.content))
        return typeset(TEMPLATE, folder, curriculum_values(version), at=version.created_at)


def file_name(version: CurriculumVersion) -> str:
    """Return how a version's file is called, without the ending."""
    return f"curriculum-vitae-{slugify(str(version.person))}-version-{version.number}"


def curriculum_values(version: CurriculumVersion) -> dict[str, Any]:
    """Return what the template prints, as plain values."""
    said = version.content
    return {
        "office": {"name": said["office"], "address": settings.OFFICE_ADDRESS},
        "name": said["name"],
        "job_title": said["job_title"],
        "number": version.number,
        "issued": moment(version.created_at),
        "sha256": version.sha256,
        "sections": [
            {"heading": one["heading"], "lines": [_line(line) for line in one["lines"]]}
            for one in said["sections"]
        ],
        "examinations": _numbers(said["examinations"]),
        "testimony": _numbers(said["testimony"]),
        # Versions of before there was a list say nothing of it.
        "testified": testified_values(said["testified"]) if "testified" in said else None,
    }


def _line(line: dict[str, Any]) -> dict[str, str]:
    parts = [line["place"], f"No. {line['number']}" if line["number"] else ""]
    return {
        "years": line["years"],
        "title": line["title"],
        "detail": ", ".join(part for part in parts if part),
        "note": line["note"],
        "valid": _valid(line),
        "expired": "yes" if line["expired"] else "",
    }


def _valid(line: dict[str, Any]) -> str:
    if not line["valid_until"]:
        return ""
    until = f"valid until {day(date.fromisoformat(line['valid_until']))}"
    return f"{until}, expired when this version was counted" if line["expired"] else until


def _numbers(said: dict[str, Any]) -> dict[str, Any]:
    not_ended = said.get("not_ended", 0)
    first = said.get("first", "")
    return {
        "total": str(said["total"]),
        "rows": [{"words": words, "n": str(n)} for words, n in said["kinds"]],
        "since": f"The first of them was on {day(date.fromisoformat(first))}." if first else "",
        "not_ended": f"Not counted, because no end is recorded: {not_ended}." if not_ended else "",
        "says": said["says"],
    }


def testified_values(said: dict[str, Any]) -> dict[str, Any]:
    """Return the list of testimony as page and paper print it."""
    return {
        "first": day(date.fromisoformat(said["first"])),
        "rows": [
            {
                "day": day(date.fromisoformat(one["day"])),
                "kind": one["kind"],
                "caption": one["caption"] or "name of the case not entered",
                "court": ", ".join(part for part in (one["court"], one["cause_number"]) if part),
                "called_by": one["called_by"],
            }
            for one in said["lines"]
        ],
        "earlier": earlier_words(said["earlier"]),
        "not_listed": not_listed_words(said["not_listed"]),
        "says": said["says"],
    }
