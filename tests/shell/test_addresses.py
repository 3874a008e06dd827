"""A view is found by one look where its like was found before: the same one that Django finds."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any
from uuid import UUID, uuid4

import pytest
from django.urls import Resolver404, get_resolver
from django.urls.resolvers import RoutePattern, URLPattern, URLResolver

from cases.views import entries
from me_office import urls
from me_office.shell import addresses
from me_office.shell.addresses import Addresses

ROUTES = urls._routes
PLAIN = URLResolver(RoutePattern(""), ROUTES)


def routes(patterns: list[Any], before: str = "") -> Iterator[str]:
    for one in patterns:
        route = before + str(one.pattern)
        yield from [route] if isinstance(one, URLPattern) else routes(one.url_patterns, route)


def address(route: str, *, key: UUID, number: int, word: str) -> str:
    kind = next(iter(entries.KINDS))
    value = {"uuid": key, "int": number, "path": f"{word}/{word}", "entry_kind": kind}
    return re.sub(r"<(?:(\w+):)?\w+>", lambda one: str(value.get(one[1], word)), route)


def told(find: Any, path: str) -> object:
    try:
        found = find(path)
    except Resolver404:
        return None
    names = ("func", "args", "kwargs", "captured_kwargs", "extra_kwargs", "view_name", "route")
    return [getattr(found, name) for name in names], found.app_names, found.namespaces


def test_every_address_of_the_office_is_found_as_django_finds_it_once_and_again():
    own = Addresses(ROUTES)
    ways = [route for route in routes(ROUTES) if not re.search(r"[\^$]", route)]
    assert len(ways) > 700
    for n, route in enumerate(ways):
        path = address(route, key=uuid4(), number=7, word=f"word-{n}")
        first = told(own.resolve, path)
        assert first is not None, route
        assert told(own.resolve, path) == first, route
    assert len(own.found) > 700


def looked_for(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """Note which addresses were looked for in all routes."""
    tried: list[str] = []
    plain = URLResolver.resolve

    def resolve(self: URLResolver, path: str) -> Any:
        if isinstance(self, Addresses):
            tried.append(path)
        return plain(self, path)

    monkeypatch.setattr(URLResolver, "resolve", resolve)
    return tried


def test_an_address_whose_like_was_found_is_looked_for_no_more(monkeypatch):
    tried, own = looked_for(monkeypatch), Addresses(ROUTES)
    one, other = f"cases/{uuid4()}/", f"cases/{uuid4()}/"
    assert own.resolve(one).view_name == own.resolve(other).view_name == "cases:case"
    assert own.resolve(other).kwargs == {"case_id": UUID(other.split("/")[1])}
    assert tried == [one]
    # What comes of an address is its own: a view may change what it is given.
    own.resolve(other).kwargs.clear()
    assert own.resolve(one).kwargs


@pytest.mark.parametrize(
    "other",
    ["cases/\x00/", "cases/word/", "cases//", "cases/{key}", "/cases/{key}/", "//cases/{key}/",
     "cases/{key}/\n", "cases/{KEY}/", "cases/{key}{key}/", "cases/a{key}/"],
)  # fmt: skip
def test_what_is_no_address_of_the_office_stays_none(other):
    own = Addresses(ROUTES)
    own.resolve(f"cases/{uuid4()}/")
    path = other.replace("{key}", str(uuid4())).replace("{KEY}", str(uuid4()).upper())
    for _ in range(2):
        assert told(own.resolve, path) == told(PLAIN.resolve, path)


def test_no_more_than_so_many_are_kept(monkeypatch):
    monkeypatch.setattr(addresses, "MOST", 3)
    own = Addresses(ROUTES)
    for word in ("scene", "body", "report", "history", "organs", "scene"):
        assert own.resolve(f"cases/{uuid4()}/{word}/").kwargs
        assert 1 <= len(own.found) <= 3


def test_requests_are_answered_so(monkeypatch):
    tried = looked_for(monkeypatch)
    for _ in range(3):
        found = get_resolver("me_office.urls").resolve(f"/cases/{uuid4()}/")
        assert found.view_name == "cases:case"
    assert len(tried) <= 1
