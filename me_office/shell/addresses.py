"""Finds the view of an address whose like was found before by one look.

Django tries the routes of every room in turn until one fits: for a page of a room that comes late
these are some hundred, and take longer than the session's reading. Addresses that differ by their
keys alone fit the same route, as every key is like every other to each of them.
"""

from __future__ import annotations

import re
from typing import Any

from django.urls import ResolverMatch
from django.urls.resolvers import RoutePattern, URLResolver

# As many as there are routes, several times: what a word of the address tells apart is many.
MOST = 4_000
_KEY = re.compile(r"[0-9a-f]{8}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{12}")
_A_KEY = "\x00"
# What a route is written with that is a pattern of its own, as those of the accounts' package.
_PATTERN = re.compile(r"[\^$()\\]")


class Addresses(URLResolver):
    """All routes together, which keep what was found by the address with its keys left out."""

    def __init__(self, routes: list[Any]) -> None:
        """Take the routes in the order in which they are tried."""
        super().__init__(RoutePattern(""), routes)
        self.found: dict[str, tuple[RoutePattern, Any]] = {}

    def resolve(self, path: str) -> ResolverMatch:
        """Return the view of an address with its arguments. Raises Resolver404."""
        like = _KEY.sub(_A_KEY, path)
        known = self.found.get(like)
        if known is not None and (captured := _captured(known[0], path)) is not None:
            return _another(known[1], captured)
        found = super().resolve(path)
        if _A_KEY not in path:
            self._keep(like, path, found)
        return found

    def _keep(self, like: str, path: str, found: Any) -> None:
        """Keep what was found, where its route alone tells all of it."""
        route = str(found.route)
        if found.args or _PATTERN.search(route):
            return
        pattern = RoutePattern(route, is_endpoint=True)
        if {**(_captured(pattern, path) or {}), **found.extra_kwargs} != found.kwargs:
            return
        if len(self.found) >= MOST:
            self.found.clear()
        self.found[like] = pattern, found
        # The routes that were tried before: a page of an error is told from another search.
        found.tried = None


def _captured(pattern: RoutePattern, path: str) -> dict[str, Any] | None:
    """Return the arguments that a whole address holds, or None where it is another's."""
    match = pattern.match(path)
    return None if match is None else match[2]


def _another(first: Any, captured: dict[str, Any]) -> ResolverMatch:
    return ResolverMatch(
        first.func,
        (),
        {**captured, **first.extra_kwargs},
        first.url_name,
        first.app_names,
        first.namespaces,
        first.route,
        captured_kwargs={name: captured[name] for name in first.captured_kwargs},
        extra_kwargs=first.extra_kwargs,
    )
