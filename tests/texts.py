"""The texts of the code that a person may read: in modules, templates, scripts and documents.

`python -m tests.texts` prints those that say something of medicine or law and that nobody has read
and listed in `me_office/read_texts`, and those that are listed and gone. What is filled in is
written as "…". One to three words are a label, not a text.
"""

from __future__ import annotations

import ast
import json
import os
import re
from collections.abc import Iterator
from functools import cache
from html.parser import HTMLParser
from importlib import import_module
from pathlib import Path

import django
from django.apps import apps
from django.conf import settings

if not apps.ready:
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "me_office.settings")
    django.setup()

from findings.calculations.registry import METHODS
from findings.computing.docs import given_texts
from me_office.read_texts import neither, of_methods, offered_answers
from me_office.statements import statements

ROOT = Path(__file__).parents[1]
APPS = ("cases", "evidence", "findings", "me_office")
BLANK = "…"
# Lists of words that are looked for in what a person wrote.
_LOOKED_FOR = {"cases/certification/causes.py", "findings/questions/sites.py"}
_LEFT_OUT = {"migrations", "demo", "read_texts"}
# Tags between which a sentence goes on.
_INLINE = {
    "b",
    "strong",
    "em",
    "i",
    "a",
    "span",
    "code",
    "abbr",
    "time",
    "q",
    "small",
    "sup",
    "kbd",
}
_READ_ATTRIBUTES = {"title", "aria-label", "placeholder", "alt"}
# Modules that speak of medicine or law in most of what they say: each of their texts is read.
_READ_WHOLE = re.compile(
    r"findings/calculations/(?!fields|hash_|federal_hol|method|answers|docs|result|registry)"
    r"|findings/computing/wording/|findings/models/|findings/(?:organs|paths|postmortem)/models"
    r"|findings/(?:rules|organs/table|paths/wound_paths|postmortem/(?:lividity|wording)"
    r"|questions/(?:contradicting|negatives|sides)|words/(?:counting|sentences|vocabulary|wounds))"
    r"\.py"
    r"|cases/certification/(?:cautions|facts|forms|items|models|rules|sequence|sheet)\.py|cases/certification/temp"
    r"|cases/rules/(?:decedent|intake|lividity|places|scene)\.py"
    r"|cases/models/(?:body|not_done|report|scene)\.py"
    r"|cases/remains/(?:forms|models|rules)\.py|cases/court/rules\.py"
    r"|cases/review/(?:closing|content|kept|reported|rules|scene|signing)\.py"
    r"|cases/packets/(?:custody_record|measured|printing|rules)\.py"
    r"|evidence/(?:items/kinds|custody/printing|custody/rules|results/rules)\.py"
)
# Elsewhere a sentence is read if one of these words is in it.
_TRADE = re.compile(
    r"death|\b(?:dead|died)\b|\bbod(?:y|ies)\b|decedent|wound|injur|lividity|rigor\b|autops|patholog"
    r"|medic|\bcause|manner|\blaw\b|court|legal|subpoena|counsel|certif|cremat|buri|licen[sc]"
    r"|\borgans?\b|heart|blood|bruis|burn|skin|bone|tissue|rectal|liver\b|swab|identity|identif"
    r"|next of kin|jurisdiction|clinical|hospital|drug|toxic|fractur|hemorr|gunshot|\bstab|weapon"
    r"|bullet|opinion|certain|probab|custody|\bseals?\b|sealed|\bcash|evidence|judg|retain"
    r"|disposition|exhum|infect|implant|witness|alive|suspect|perimortem|laborator|specimen",
    re.I,
)
# Checks of what was typed, and lists of words that are looked for.
_NO_STATEMENT = re.compile(
    r"^(?:must |is required|give |There is no such |There is no body )|^[a-z_, :]{150,}$"
)
# Patterns, markup and commands for machines.
_FOR_MACHINES = re.compile(
    r"\\[bsw.]|\(\?|^\s*<|=\"|^[\w\s,]+:[\w\s]+(?:\n|$)|;\s*charset|^SELECT |^DROP |^ALTER "
)


def is_text(words: str) -> bool:
    """Whether a string is long enough, and made for people."""
    return (
        len(re.findall(r"[^\W\d_]{2,}", words)) >= 4
        and words.count(" ") >= 3
        and not _FOR_MACHINES.search(words)
    )


def tidy(words: str) -> str:
    """Return a text on one line."""
    return re.sub(r"\s+", " ", words).strip()


def texts_of_module(source: str) -> Iterator[str]:
    """Yield the strings of a module that are no docstring."""
    nodes = list(ast.walk(ast.parse(source)))
    passed_over = set()
    for node in nodes:
        body = getattr(node, "body", None)
        if isinstance(body, list) and body and isinstance(body[0], ast.Expr):
            passed_over.add(id(body[0].value))
        if isinstance(node, ast.JoinedStr):
            passed_over |= {id(part) for part in node.values}
    for node in nodes:
        if id(node) in passed_over:
            continue
        if isinstance(node, ast.JoinedStr):
            yield "".join(
                str(part.value) if isinstance(part, ast.Constant) else BLANK for part in node.values
            )
        elif isinstance(node, ast.Constant) and isinstance(node.value, str):
            yield node.value


class _Page(HTMLParser):
    """Collects the texts between block tags, and the attributes that are read."""

    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.texts: list[str] = []
        self._parts: list[str] = []

    def flush(self) -> None:
        """End a text."""
        self.texts.append("".join(self._parts))
        self._parts = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """A block begins another text; what is read of its attributes is a text."""
        if tag not in _INLINE:
            self.flush()
        for name, value in attrs:
            if value and (name in _READ_ATTRIBUTES or name.startswith("data-")):
                self.texts.append(value)

    def handle_endtag(self, tag: str) -> None:
        """A block ends its text."""
        if tag not in _INLINE:
            self.flush()

    def handle_data(self, data: str) -> None:
        """Words go on until a tag of the template or of a block."""
        first, *rest = data.split("\x01")
        self._parts.append(first)
        for part in rest:
            self.flush()
            self._parts.append(part)


def texts_of_template(source: str) -> Iterator[str]:
    """Yield the texts of a template, also those that its tags carry as arguments."""
    source = re.sub(r"{#.*?#}|{% comment %}.*?{% endcomment %}", "", source, flags=re.S)
    # Names of a form's fields are no text.
    source = re.sub(r"{% fields \w+ \"[\w ]+\" %}", "", source)
    for tag in re.findall(r"{%.*?%}|{{.*?}}", source, flags=re.S):
        yield from re.findall(r'"([^"]+)"', tag)
    page = _Page()
    page.feed(re.sub(r"{{.*?}}", BLANK, re.sub(r"{%.*?%}", "\x01", source, flags=re.S), flags=re.S))
    page.flush()
    yield from page.texts


def texts_of_script(source: str) -> Iterator[str]:
    """Yield the strings of an ES module."""
    source = re.sub(r"/\*.*?\*/|^\s*//.*$", "", source, flags=re.S | re.M)
    for double, back in re.findall(r'"((?:[^"\\\n]|\\.)+)"|`([^`]+)`', source):
        yield double or re.sub(r"\$\{[^}]*\}", BLANK, back)


def texts_of_document(source: str) -> Iterator[str]:
    """Yield the strings and the plain content of a Typst file."""
    source = re.sub(r"^\s*//.*$", "", source, flags=re.M)
    for quoted, content in re.findall(r'"([^"\n]+)"|\[([^\[\]]+)\]', source):
        yield quoted or re.sub(r"#[\w.]+(?:\([^)]*\))?", BLANK, content)


def texts_of_words(source: str) -> Iterator[str]:
    """Yield the words of a Typst template, which stand beside it."""
    for said in json.loads(source).values():
        for words in said if isinstance(said, list) else [said]:
            yield re.sub(r"{\w+}", BLANK, words)


_READERS = {
    ".py": texts_of_module,
    ".html": texts_of_template,
    ".txt": texts_of_template,
    ".js": texts_of_script,
    ".typ": texts_of_document,
    ".json": texts_of_words,
}


@cache
def texts_by_file() -> dict[str, tuple[str, ...]]:
    """Return the texts of every file that says any, by its path from the project's root."""
    found = {}
    for app in APPS:
        for path in sorted((ROOT / app).rglob("*")):
            reader, inside = _READERS.get(path.suffix), path.relative_to(ROOT)
            if reader is None or _LEFT_OUT & set(inside.parts) or path.name.endswith(".min.js"):
                continue
            if path.suffix == ".txt" and "templates" not in path.parts:
                continue
            if path.suffix == ".json" and ".words." not in path.name:
                continue
            strings = reader(path.read_text(encoding="utf-8"))
            said = (tidy(part) for one in strings for part in re.split(r"\n\s*\n", one))
            texts = tuple(dict.fromkeys(words for words in said if is_text(words)))
            if texts:
                found[path.relative_to(ROOT).as_posix()] = texts
    return found


def texts_to_read() -> dict[str, list[str]]:
    """Return what has to be read by a person of the trade, by file."""
    found = {}
    for file, texts in texts_by_file().items():
        if file in _LOOKED_FOR:
            continue
        whole = _READ_WHOLE.match(file)
        if read := [
            one
            for one in texts
            if (whole or _says_something(one)) and not _NO_STATEMENT.search(one)
        ]:
            found[file] = read
    return found


def _says_something(words: str) -> bool:
    is_sentence = bool(re.search(r"[.?!:…”]$", words)) or len(words.split()) >= 10
    return is_sentence and bool(_TRADE.search(words))


def unread() -> list[tuple[str, str]]:
    """Return the texts that have to be read and that no list knows: file and text."""
    known = known_texts()
    return [
        (file, text)
        for file, texts in texts_to_read().items()
        for text in texts
        if as_in_code(text) not in known
    ]


def as_in_code(words: str) -> str:
    """Return a registered text as it stands in the code: what is filled in is a blank."""
    return re.sub(r"\{[^}]*\}", BLANK, tidy(words))


def known_texts() -> set[str]:
    """Return everything that was read: registered, offered as an answer, or put aside."""
    import_module(settings.ROOT_URLCONF)  # what the pages say is registered with them
    words = {word for one in statements() for word in (one.text, one.source, one.where)}
    words |= {answer for _, _, answers in offered_answers() for answer in answers}
    words |= {text for method in METHODS for text in (method.title, *method.sources)}
    words |= {text for method in METHODS for text in given_texts(method)}
    words |= {text for texts in neither().values() for text in texts}
    return {as_in_code(one) for one in words}


def gone() -> list[str]:
    """Return the listed texts that the code no longer says."""
    said = {as_in_code(text) for texts in texts_by_file().values() for text in texts}
    return [text for text in listed() if as_in_code(text) not in said]


def listed() -> list[str]:
    """Return the statements that stand in `me_office/read_texts`."""
    import_module(settings.ROOT_URLCONF)
    of_method = [text for one in of_methods().values() for texts in one.values() for text in texts]
    return of_method + [one.text for one in statements() if one.key.startswith("read.")]


if __name__ == "__main__":
    for in_file, new in unread():
        print(f"not read, {in_file}: {new}")
    for old in gone():
        print(f"gone from the code: {old}")
