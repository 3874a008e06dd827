"""The explanations that come with the software; an office may say any of them in its own words."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from types import MappingProxyType

from me_office.statements import Statement, statement_list

_FILE = Path(__file__).with_name("shipped.json")
PLACE = "Standing explanations"


@dataclass(frozen=True)
class Shipped:
    """One text as it comes: the question, the answer, and where that is from."""

    key: str
    question: str
    words: str
    source: str


@cache
def shipped() -> Mapping[str, Shipped]:
    """Return the texts by key, in the order in which they are offered."""
    read = json.loads(_FILE.read_text(encoding="utf-8"))
    return MappingProxyType({key: Shipped(key, **entry) for key, entry in read.items()})


@statement_list
def _as_listed() -> Iterator[Statement]:
    for one in shipped().values():
        yield Statement(f"explanation.{one.key}", f"{one.question} {one.words}", PLACE, one.source)
