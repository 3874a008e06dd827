"""Finds every form that a person of the office can reach, as a browser reads them."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from functools import cache
from typing import Any
from urllib.parse import urljoin, urlsplit

from django.db import transaction
from django.http import HttpResponse
from django.test import Client
from django.urls import Resolver404, resolve

from tests.demo import heard

_KEY = re.compile(r"[0-9a-f]{8}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{12}")
# What answers with a file, is not a page of the office, or ends the visit.
_NOT_WALKED = re.compile(
    r"^/(api|static|account|sign-in|help)/|\.(csv|pdf|zip|json)$|/(original|small|download)/"
    # Have a test of their own, with much more that is wrong.
    r"|/calculations/"
)
# What somebody types who is tired, in the wrong field, or hostile: by kind of input.
WRONG = {
    "number": "abc",
    "day": "02/30/2026",
    "time": "25:00",
    "select": "nonsense",
    "radio": "nonsense",
}
# Each of 287 wordings and 62 checks has the same page and form with other words. No table of kinds
# of an entry, which are forms of their own, is as long.
MOST = 20
MOST_FORMS = 10
NUL = "\x00\x01" + "x" * 5_000
KEPT = "words that have to stay 7316"


@dataclass
class Field:
    """One input of a form."""

    name: str
    kind: str  # text, number, date, select, textarea, hidden, checkbox, radio, file, ...
    value: str = ""
    choices: list[str] = field(default_factory=list)


@dataclass
class Form:
    """One form as the page shows it."""

    page: str
    action: str
    method: str
    fields: list[Field] = field(default_factory=list)

    @property
    def key(self) -> tuple[str, frozenset[str]]:
        """What makes two forms the same: where it goes to and what it asks."""
        return shape(self.action), frozenset(one.name for one in self.fields)

    @property
    def kind(self) -> tuple[str, frozenset[str]]:
        """What many forms have in common: which view answers and what it asks."""
        return view_of(self.action), self.key[1]

    def filled_wrongly(self) -> tuple[dict[str, str], bool]:
        """Return wrong values for all inputs but one line of words, and whether there is one."""
        sent, kept = {}, False
        for one in self.fields:
            if one.kind == "hidden":
                sent[one.name] = one.value
            elif one.kind in WRONG:
                sent[one.name] = WRONG[one.kind]
            elif one.kind in {"text", "textarea"} and not kept:
                sent[one.name], kept = KEPT, True
            else:
                sent[one.name] = NUL
        return sent, kept


def shape(address: str) -> str:
    """Return an address without keys, query and numbers."""
    return re.sub(r"/\d+/", "/n/", _KEY.sub("key", urlsplit(address).path))


@cache
def view_of(address: str) -> str:
    """Return the name of the view that answers at an address: of 300 wordings it is one."""
    try:
        return resolve(urlsplit(address).path).view_name
    except Resolver404:
        return ""


class Read:
    """The links and forms of a page, and the page as it is heard."""

    def __init__(self, address: str, words: str) -> None:
        self.address = address
        self.links: list[str] = []
        self.heard: heard.Page | None = None  # of a part of a page, nothing
        self.forms: list[Form] = []
        self.root = heard.parsed(words)
        for one in self.root.all():
            self._take(one)

    def _take(self, one: heard.Element) -> None:
        if one.tag == "a" and one.said.get("href"):
            self.links.append(urljoin(self.address, one.said["href"]))
        elif one.tag == "form" and one.said.get("method") != "dialog":  # such a one sends nothing
            action = urljoin(self.address, one.said.get("action") or self.address)
            form = Form(self.address, action, one.said.get("method", "get").lower())
            self.forms.append(form)
            form.fields += filter(None, map(_field, one.all()))


def _field(one: heard.Element) -> Field | None:
    """Return the input that an element of a form is, if it is one."""
    if not one.said.get("name") or one.tag in {"a", "form"}:
        return None
    kind = one.said.get("type", "text") if one.tag == "input" else one.tag
    if one.said.get("data-typed") in WRONG:
        kind = one.said["data-typed"]
    if kind in {"radio", "checkbox"} and "checked" not in one.said:
        return None
    found = Field(one.said["name"], kind, one.said.get("value", ""))
    if one.tag == "textarea":
        found.value += "".join(words for words in one.inside if isinstance(words, str))
    if one.tag == "select":
        options = [each for each in one.all() if each.tag == "option"]
        found.choices += (each.said.get("value", "") for each in options)
        for each in options:
            if "selected" in each.said:
                found.value = each.said.get("value", "")
    return found


def read(address: str, answer: Any) -> Read:
    """Read the links and forms of an answer."""
    page = Read(address, answer.content.decode())
    if b"<html" in answer.content:
        where = answer.request["PATH_INFO"], answer.request["QUERY_STRING"]
        page.heard = heard.Page("?".join(where), page.root)
    return page


def _kind_of_the_office(path: str) -> str:
    """Return which page of the whole office an address leads to; of a record, or none, nothing."""
    return "" if _KEY.search(path) else view_of(path)


def walked(client: Client, starts: Iterable[str], elsewhere: set[str]) -> Iterator[Read]:
    """Yield each page that can be reached, one for each shape of address.

    `elsewhere` keeps the pages of the whole office that somebody has read: they are the same from
    every case, and of each kind of them (a term's words, say) the next person reads one. Of pages
    that differ by a word of their address (each wording of the office) the first MOST are read.
    """
    waiting, seen, kinds, read_of = list(starts), set(), set(), Counter[str]()
    while waiting:
        address = waiting.pop(0)
        path = urlsplit(address).path
        if shape(address) in seen or _NOT_WALKED.search(path):
            continue
        seen.add(shape(address))
        kind = _kind_of_the_office(path)
        if kind and kind in kinds and address in elsewhere:
            continue
        view = view_of(path)
        read_of[view] += 1
        if view and read_of[view] > MOST:
            continue
        if kind:
            kinds.add(kind)
            elsewhere.add(address)
        answer = client.get(address, follow=True)
        assert answer.status_code < 500, address
        if answer.status_code != 200 or "text/html" not in answer.get("Content-Type", ""):
            for _ in answer.streaming_content if answer.streaming else ():
                pass  # a file is closed where it is read to its end
            continue
        page = read(address, answer)
        yield page
        waiting += [link for link in page.links if link.startswith("/")]


def sent_and_taken_back(visitor: Client, form: Form, sent: dict[str, str]) -> HttpResponse:
    """Send a form, and take back what it may have changed."""
    with transaction.atomic():
        send = visitor.post if form.method == "post" else visitor.get
        answer = send(form.action, sent)
        transaction.set_rollback(True)
    return answer
