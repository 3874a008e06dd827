"""What a date in court would run into, told before it is recorded; other rooms add to it."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from hashlib import sha256
from typing import Any
from uuid import UUID

from cases.appearances import queries
from cases.appearances.models import Appearance
from cases.appearances.shown import clash_words
from me_office.accounts.models import Staff
from me_office.audit.fields import said_of

AGAIN = "Save again to record it all the same."
Says = Callable[[Appearance], Sequence[str]]
_SAYS: dict[str, Says] = {}
# Of these a date that is there already runs into something else than before.
MATTERS = ("witness", "begins_at", "expected_minutes", "leave_at", "court")


def says_before(key: str, say: Says) -> None:
    """Add what a room knows of a date that is not recorded yet; the same key again replaces it."""
    _SAYS[key] = say


def runs_into(actor: Staff, draft: Appearance) -> list[str]:
    """Say what else takes the witness at that time, as far as the person may know of it."""
    found = queries.clashes_of([draft])
    words = clash_words(found.get(draft.pk, ()), queries.known_cases(actor, found))
    return [f"Overlaps: {one}" for one in words] + [
        one for say in _SAYS.values() for one in say(draft)
    ]


def draft_of(record: Appearance, key: UUID, said: dict[str, Any]) -> Appearance | None:
    """Return the date as it would be; None where nothing that matters changes, or is lacking."""
    kept = said_of(record, ("state", *MATTERS[1:]))
    kept["witness_id"] = record.witness_id
    changed = {name: said[name] for name in MATTERS if name in said}
    if "witness" in changed:
        changed["witness_id"] = getattr(changed.pop("witness"), "pk", None)
    draft = Appearance(pk=key, case_id=record.case_id, **{**kept, **changed})
    if draft.begins_at is None or draft.witness_id is None:
        return None
    same = not record._state.adding and all(kept[name] == one for name, one in changed.items())
    return None if same else draft


def seen_of(words: Sequence[str]) -> str:
    """Return by what a form tells that these words were read."""
    return sha256("\n".join(words).encode()).hexdigest() if words else ""
