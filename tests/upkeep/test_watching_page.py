"""What the administrators' page says of alarms, numbers and what is kept is what the code does."""

from __future__ import annotations

import re
from datetime import timedelta
from pathlib import Path

import pytest
from django.conf import settings

from evidence.intake.rules import KEPT_FOR
from me_office.accounts import limits
from me_office.upkeep import watching
from me_office.upkeep.conditions import names
from me_office.upkeep.metrics import figures, requests

ROOT = Path(__file__).resolve().parents[2]
PAGE = (ROOT / "docs/production/watching.md").read_text()
DRAFTS = (ROOT / "me_office/shell/static/shell/js/kept.js").read_text()


def first_cells() -> list[str]:
    return [line.split("|")[1].strip() for line in PAGE.splitlines() if line.startswith("| ")]


def row(begins: str) -> str:
    (found,) = [line for line in PAGE.splitlines() if line.startswith(f"| {begins}")]
    return found


def test_every_condition_has_its_row_and_those_of_serving_say_so():
    named = {name.strip() for cell in first_cells() for name in cell.partition("(")[0].split(",")}
    assert set(names()) <= named
    serving = {
        cell.partition("(")[0].strip() for cell in first_cells() if cell.endswith("(*serving*)")
    }
    assert serving == set(names(serving_only=True))


@pytest.mark.django_db
def test_every_number_that_is_named_is_told():
    told = {sample.name for family in figures.everything() for sample in family.samples}
    told |= {family.name for family in figures.everything()}
    told |= {family.name for family in requests.registry().collect()} | {"office_requests_total"}
    named = set(re.findall(r"\boffice_[a-z_]+\b", PAGE)) - {"office_app"}
    assert len(named) >= 10
    assert named <= told


def test_what_is_kept_is_kept_as_long_as_it_says():
    assert timedelta(days=30) == settings.REQUEST_KEYS_KEPT
    assert "(30 days)" in row("digests of requests")
    assert limits.DAY_S == 86_400
    assert "| 1 day |" in row("counts of wrong passwords")
    assert settings.SESSION_COOKIE_AGE == 12 * 3600
    assert "| 12 hours |" in row("sign-ins")
    assert timedelta(days=7) == KEPT_FOR
    assert "| 7 days after" in row("uploads")
    assert "const KEPT_FOR_MS = 3 * 24 * 3600 * 1000;" in DRAFTS
    assert "at most 3 days |" in row("what is typed")
    assert (2, timedelta(days=1)) == (watching.LOOKS_BEFORE_AN_ALARM, watching.AGAIN_AFTER)
    assert "twice in a row" in row("mail to")
    assert "again each day" in row("mail to")
