"""Documents that may go out, as rooms name them: a PDF by its bytes, with a name, a kind and a key.

A room adds its documents by `register`; they are read a case at a time, in one statement a kind.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from uuid import UUID

from cases.models import Case
from evidence.store.models import StoredFile
from me_office.audit.errors import known


@dataclass(frozen=True)
class Source:
    """A document: its kind and key, and the digest of the bytes that would go out."""

    kind: str
    key: UUID
    sha256: str
    name: str = field(compare=False, default="")
    file: StoredFile | None = field(compare=False, default=None, repr=False)


@dataclass(frozen=True)
class Kind:
    """A kind of document: what it is called, and how those of a case are read."""

    key: str
    called: str
    read: Callable[[Case], Iterable[Source]]


_KINDS: dict[str, Kind] = {}


def register(kind: Kind) -> None:
    """Add a kind of document; the same key again replaces it."""
    _KINDS[kind.key] = kind


def kinds() -> list[Kind]:
    """Return the kinds in the order in which they are listed."""
    return list(_KINDS.values())


def sources_in(case: Case) -> list[Source]:
    """Return every document of a case that can be redacted; one statement a kind."""
    return [one for kind in kinds() for one in kind.read(case)]


def sources_of_kind(case: Case, kind: str) -> list[Source]:
    """Return the documents of one kind; one statement."""
    return list(_KINDS[kind].read(case))


def source_in(case: Case, kind: str, key: UUID) -> Source:
    """Return one document of a case. Raises NotKnown."""
    read = _KINDS.get(kind)
    found = (one for one in (read.read(case) if read else ()) if one.key == key)
    return known(next(found, None), "document")
