"""What was entered, put onto a record."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from django.db import models

from me_office.audit.tidy import entry_as_kept
from me_office.entries import Entry


def set_fields(
    record: models.Model, entry: Entry, allowed: Iterable[str], *, whole: bool = False
) -> list[str]:
    """Set the allowed fields that the entry gives; return the names of those that changed.

    What the entry does not give stays as it is. Texts lose their outer blanks, and None in a
    text that cannot be null is an empty one. With `whole` the entry may hold nothing else: another
    name is a mistake of the caller, not of the person. Raises ValueError.
    """
    names = tuple(allowed)
    unknown = set(entry) - set(names)
    if whole and unknown:
        raise ValueError(f"not recorded here: {', '.join(sorted(unknown))}")
    changed = []
    for name in names:
        if name not in entry:
            continue
        field = record._meta.get_field(name)
        value = _as_entered(field, entry[name])
        # By its column: what a key points at is not read for this.
        column = getattr(field, "attname", name)
        before = getattr(record, column)
        setattr(record, name, value)
        if getattr(record, column) != before:
            changed.append(name)
    return changed


def _as_entered(field: Any, value: Any) -> Any:
    if isinstance(value, str):
        return value.strip()
    if value is None and isinstance(field, models.CharField | models.TextField) and not field.null:
        return ""
    return value


def said_of(record: models.Model, names: Iterable[str]) -> dict[str, Any]:
    """Return what a record says in these fields, as a rule asks of it."""
    return {name: getattr(record, name) for name in names}


def entered(model: type[models.Model], entry: Entry, allowed: Iterable[str]) -> dict[str, Any]:
    """Return what an entry gives of the allowed fields, as a record keeps it: to compare it."""
    given = {name: entry[name] for name in allowed if name in entry}
    return {
        name: _as_entered(model._meta.get_field(name), value)
        for name, value in entry_as_kept(model, given).items()
    }
