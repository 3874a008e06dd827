"""What fills the fields of a letter: each room says what it knows of a request."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from cases.court.models import RecordsRequest
from cases.letters.merging import BY_NAME
from me_office.accounts.models import Staff

Values = Mapping[str, str]
Says = Callable[[Staff, RecordsRequest], Values]
_ROOMS: list[Says] = []


def register(says: Says) -> Says:
    """Have a room fill fields of a request's letters; it names only fields that there are."""
    _ROOMS.append(says)
    return says


def values_for(actor: Staff, asked: RecordsRequest) -> dict[str, str]:
    """Return what is known for the fields of a letter of this request; `asked` has its case."""
    found: dict[str, str] = {}
    for says in _ROOMS:
        for name, value in says(actor, asked).items():
            if name not in BY_NAME:
                raise KeyError(f"There is no field {name} of letters.")
            if value:
                found[name] = value
    return found
