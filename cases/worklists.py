"""What waits for a person: each part of the office adds sections for the roles it serves."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime

from me_office.accounts.models import Staff
from me_office.accounts.roles import Role


@dataclass(frozen=True)
class Waiting:
    """One row of a worklist."""

    number: str
    title: str
    detail: str
    when: str
    url: str
    urgency: str = ""  # "", "attention" or "stop"
    # What is not ready, each with the page where it is mended.
    lacks: tuple[tuple[str, str], ...] = ()
    # Since when it waits, where `when` does not say how long that is.
    since: datetime | None = None


@dataclass(frozen=True)
class Section:
    """One section of the first page. `rows` reads at most `LIMIT` rows in one statement."""

    key: str
    title: str
    roles: frozenset[Role]
    order: int
    rows: Callable[[Staff, datetime], list[Waiting]]
    empty: str = ""  # without it, the section is only there when something waits
    waits: bool = True  # False for what is only for information ("lately done")


LIMIT = 20
_SECTIONS: dict[str, Section] = {}


def register(section: Section) -> None:
    """Add a section; the same key again replaces it."""
    _SECTIONS[section.key] = section


def sections_for(actor: Staff) -> list[Section]:
    """Return the sections of a person's roles, in their order."""
    return sorted(
        (section for section in _SECTIONS.values() if section.roles & actor.roles),
        key=lambda section: section.order,
    )
