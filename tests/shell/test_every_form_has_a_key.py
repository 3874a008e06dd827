"""Every form that changes a record carries a request key, so that a second press does nothing."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from tests.conftest import ROOT

TEMPLATES = sorted(
    path
    for top in ("cases", "findings", "evidence", "me_office")
    for path in (ROOT / top).rglob("templates/**/*.html")
    # Signing in and out is the sign-in library's; a theme is no record.
    if "account" not in path.parts
    and "mfa" not in path.parts
    and path.name not in {"_top_line.html", "_theme_switch.html"}
)
FORM = re.compile(r'<form\b[^>]*method="post"[^>]*>(.*?)</form>', re.DOTALL)
CARRIES = re.compile(r'name="request_key"|\.request_key|shell/parts/_form_foot\.html|hidden_fields')
FORMS = [
    (path.relative_to(ROOT), body) for path in TEMPLATES for body in FORM.findall(path.read_text())
]


@pytest.mark.parametrize(("path", "body"), FORMS, ids=lambda one: str(one)[-60:])
def test_a_form_carries_a_request_key(path: Path, body: str):
    assert CARRIES.search(body), path


def test_the_foot_of_a_form_carries_the_hidden_fields():
    foot = ROOT / "me_office/shell/templates/shell/parts/_form_foot.html"
    assert "hidden_fields" in foot.read_text()
    assert len(FORMS) > 45
