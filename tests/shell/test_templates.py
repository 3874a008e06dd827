"""What every template and stylesheet of the office has to keep to."""

from __future__ import annotations

import inspect
import re
from pathlib import Path

import pytest
from django.template import engines

from me_office.shell.templatetags.office import waiting_words

ROOT = Path(__file__).parents[2]
PARTS = ("me_office", "cases", "findings", "evidence")
TEMPLATES = sorted(path for part in PARTS for path in (ROOT / part).rglob("templates/**/*.html"))
INLINE = {
    "a style attribute": r"<[^>]+\sstyle=",
    "a style element": r"<style\b",
    "an inline handler": r"<[^>]+\son[a-z]+=",
    "an inline script": r"<script(?![^>]*\bsrc=)(?![^>]*type=\"application/json\")[^>]*>",
    "a script address": r"javascript:",
    "an address elsewhere": r"(?:src|href)=\"https?://",
}


def test_every_template_keeps_to_the_content_security_policy() -> None:
    for path in TEMPLATES:
        text = re.sub(r"{#.*?#}|{% comment %}.*?{% endcomment %}", "", path.read_text(), flags=re.S)
        found = [what for what, pattern in INLINE.items() if re.search(pattern, text)]
        assert found == [], path.relative_to(ROOT)


def test_the_vendored_parts_carry_their_licenses() -> None:
    static = ROOT / "me_office/shell/static/shell"
    for name in ("fonts/OFL-source-sans-3.txt", "fonts/OFL-source-serif-4.txt"):
        assert "SIL OPEN FONT LICENSE Version 1.1" in (static / name).read_text()
    assert "Zero-Clause BSD" in (static / "js/htmx-LICENSE.txt").read_text()


LIBRARIES = engines["django"].engine.template_libraries
FILTERS = [
    (f"{library}, {name}", filter_)
    for library in ("evidence", "office", "statements")
    for name, filter_ in LIBRARIES[library].filters.items()
]


@pytest.mark.parametrize("nothing", [None, ""])
@pytest.mark.parametrize("filter_", [one for _, one in FILTERS], ids=[name for name, _ in FILTERS])
def test_a_filter_bears_what_a_template_gives_it_for_nothing(filter_, nothing):
    """Django hands "" to a filter where a name, or a part of the way to it, is not there."""
    more = [[]] if len(inspect.signature(filter_).parameters) > 1 else []
    said = filter_(nothing, *more)
    assert not said or said == waiting_words([])


class _Row:
    urgency = ""


class _Pressing:
    urgency = "stop"


class _Section:
    def __init__(self, waits: bool = True) -> None:
        self.waits = waits


@pytest.mark.parametrize(
    ("sections", "words"),
    [
        ([], "Nothing is waiting for you."),
        ([(_Section(), [_Row()])], "One thing is waiting for you."),
        ([(_Section(), [_Row()] * 4), (_Section(), [_Pressing()])],
         "Five things are waiting for you. One is pressing."),
        ([(_Section(), [_Pressing()] * 2)], "Two things are waiting for you. Both are pressing."),
        ([(_Section(waits=False), [_Row()] * 3)], "Nothing is waiting for you."),
        ([(_Section(), [_Row()] * 13)], "13 things are waiting for you."),
    ],
)  # fmt: skip
def test_what_waits_is_counted_in_words(
    sections: list[tuple[object, list[object]]], words: str
) -> None:
    assert waiting_words(sections) == words
