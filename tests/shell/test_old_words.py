"""What made readers stop is said nowhere, and everything is spelled the American way."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import pytest
from django import forms

from tests import texts
from tests.shell.old_words import BRITISH, OLD_WORDS, OldWords

ROOT = texts.ROOT
_SOURCES = {".py", ".html", ".js", ".typ", ".css", ".md", ".toml", ".txt", ".json"}
# A person may have typed the other spelling; a name of a study and of a license is a name.
_OTHER_SPELLING = {
    # As iCalendar spells a state.
    "cases/calendars/ical.py": r"\bCANCELLED\b",
    # The spellings of elsewhere themselves.
    "cases/drafting/spelling.json": r"[\s\S]+",
    "findings/words/vocabulary.py": r"\bgrey(?:ish)?\b",
    "me_office/read_texts/neither.json": r"\bgrey(?:ish)?\b",
    "findings/calculations/body_size.py": "Multicentre",
}
# Most texts hold none of them: one search tells it instead of one a row.
_ANY = re.compile("|".join(f"(?:{row.pattern})" for row in OLD_WORDS))


def _paths() -> Iterator[tuple[str, Path]]:
    for app in texts.APPS:
        for path in sorted((ROOT / app).rglob("*")):
            inside = path.relative_to(ROOT)
            if path.suffix not in _SOURCES or path.name.endswith(".min.js"):
                continue
            if {"migrations", "vendor", "fonts", "node_modules"} & set(inside.parts):
                continue
            yield inside.as_posix(), path
    for name in ("README.md", "DEVELOPERS.md"):
        yield name, ROOT / name


def _strings(found: object) -> Iterator[str]:
    if isinstance(found, dict):
        for key, value in found.items():
            yield key
            yield from _strings(value)
    elif isinstance(found, list):
        for value in found:
            yield from _strings(value)
    elif isinstance(found, str):
        yield found


def _said(path: str, source: str) -> Iterator[str]:
    """Yield what a file says: texts and labels, however short."""
    suffix = Path(path).suffix
    if suffix == ".json":
        yield from _strings(json.loads(source))
    elif suffix == ".md":
        yield from source.split("\n\n")
    elif reader := texts._READERS.get(suffix):
        yield from reader(source)


@cache
def _sources() -> dict[str, str]:
    return {path: file.read_text(encoding="utf-8") for path, file in _paths()}


def old_words_in(said: str, path: str) -> list[OldWords]:
    """Return the rows that a text of a file falls under."""
    tidy = texts.tidy(said)
    if _ANY.search(tidy) is None:
        return []
    return [row for row in OLD_WORDS if row.is_in(tidy, path)]


def british_in(path: str, source: str) -> list[str]:
    """Return the spellings of elsewhere in a file, comments and names as well."""
    source = re.sub(_OTHER_SPELLING.get(path, r"(?!)"), "", source, flags=re.I)
    found = [one.group() for one in BRITISH.finditer(source.lower())]
    prose = r"(?m:#[^\n]*?)\bcolour\b(?![`_=.])" if path.endswith(".py") else r"(?!)"
    return found + [one.group() for one in re.finditer(prose, source)]


@pytest.mark.parametrize("row", OLD_WORDS, ids=lambda row: row.example)
def test_an_old_wording_is_found_and_its_better_one_is_not(row):
    path = "findings/templates/findings/_chart_work.html"
    assert row in old_words_in(row.example, path)
    assert row not in old_words_in(row.better, path)
    assert old_words_in(row.better, path) == []


@pytest.mark.parametrize(
    ("path", "source", "said"),
    [
        ("a.html", "<button>Nearer</button>", "Zoom in"),
        ("a.html", '<i title="Take in 3 files"></i>', "Add 10 photographs"),
        ("a.html", '{% include "x.html" with act="Leave my point" %}', "Keep my point"),
        ("a.js", 'say("Leave my point");', "Keep my point"),
        ("a.js", "say(`Take in ${three} files`);", "Add 10 photographs"),
        ("a.typ", "#small[No photograph rests on it.]", "No photograph uses this file."),
        ("a.py", 'LABEL = "Words to the file"', "Remark for the file"),
        ("a.py", 'LABEL = f"Take in {count} files"', "Add 10 photographs"),
        ("a.py", 'LABEL = (\n    "No photograph rests "\n    "on it."\n)', None),
        ("a.json", '{"Nearer": ["Leave my point"]}', "Keep my point"),
    ],
)
def test_an_old_wording_is_found_in_each_kind_of_file(path, source, said):
    found = [row for text in _said(path, source) for row in old_words_in(text, path)]
    assert found != [] and (said is None or said in [row.better for row in found])


def test_old_wordings_are_said_nowhere():
    found = [
        (path, " ".join(said.split())[:120], row.better)
        for path, source in _sources().items()
        for said in _said(path, source)
        for row in old_words_in(said, path)
    ]
    assert found == []


@pytest.mark.parametrize(
    "words",
    ["centre", "in grey", "Neighbour", "labelled", "judgement", "haemorrhage", "towards"],
)
def test_a_spelling_of_elsewhere_is_found(words):
    assert british_in("a.py", f"# {words}\n") != []
    assert british_in("a.html", f"<p>{words}</p>") != []


def test_the_code_and_what_it_says_are_spelled_the_american_way():
    found = {path: british_in(path, source) for path, source in _sources().items()}
    assert {path: words for path, words in found.items() if words} == {}


def test_help_says_what_the_label_does_not():
    def words(text: object) -> set[str]:
        return set(re.findall(r"[^\W_]+", str(text).lower()))

    def all_of(form: type[forms.BaseForm]) -> Iterator[type[forms.BaseForm]]:
        for one in form.__subclasses__():
            yield one
            yield from all_of(one)

    texts.known_texts()  # with the pages come the forms
    said = [
        (form.__name__, name, str(field.help_text))
        for form in all_of(forms.BaseForm)
        if form.__module__.split(".")[0] in texts.APPS
        for name, field in getattr(form, "base_fields", {}).items()
        if field.help_text and words(field.help_text) <= words(field.label or name)
    ]
    assert said == []
