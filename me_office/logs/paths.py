"""Paths as the log may hold them: the words of the office's own addresses, keys, nothing else."""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import cache
from typing import Any

from django.urls import URLPattern, URLResolver, get_resolver

HIDDEN = "*"
# A record's key, also of a file that is named by it, or the number of a page or a row.
_KEY = re.compile(
    r"[0-9a-f]{8}-?[0-9a-f]{4}-?[0-9a-f]{4}-?[0-9a-f]{4}-?[0-9a-f]{12}(\.[a-z0-9]{1,5})?|\d{1,5}",
    re.IGNORECASE,
)
_WORD = re.compile(r"[\w.-]+")


def told(path: str) -> str:
    """Return a path without what a person may have typed into it, and without its query."""
    parts = path.partition("?")[0].split("/")
    ours = _words_of_addresses()
    return "/".join(one if one in ours or _KEY.fullmatch(one) else HIDDEN for one in parts)


@cache
def _words_of_addresses() -> frozenset[str]:
    return frozenset(["", "static", *_words(get_resolver().url_patterns)])


def _words(patterns: list[Any]) -> Iterator[str]:
    for one in patterns:
        if isinstance(one, URLResolver | URLPattern):
            yield from filter(_WORD.fullmatch, re.sub(r"[\^$\\]", "", str(one.pattern)).split("/"))
        if isinstance(one, URLResolver):
            yield from _words(one.url_patterns)
