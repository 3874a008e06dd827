"""Everything that happened to a request, read from the trail: its own row and whatever hangs on it.

Whatever table of the office points at a request belongs to its time line, of whichever room it is.
What concerns a further case is told only to who may know of that case.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from django.db import models
from django.db.models import QuerySet, TextField, Value
from django.db.models.functions import Cast

from cases.access import cases_open_to
from cases.court.models import RecordsRequest
from me_office.accounts.models import Staff
from me_office.audit.models import Record
from me_office.audit.queries import HistoryEntry, record_history, work_note_tables

ACTS_A_PAGE = 40
ACTS_BESIDE = 8


@dataclass(frozen=True)
class TimeLine:
    """A page of what happened, newest first, and the key of the next page."""

    acts: list[HistoryEntry]
    next_before: int | None


@cache
def _tied() -> list[tuple[type[models.Model], str]]:
    """Return which tables point at a request, each with its column."""
    found = []
    for relation in RecordsRequest._meta.related_objects:
        model = relation.related_model
        if not isinstance(model, type) or not issubclass(model, Record):
            continue
        if model._meta.db_table not in work_note_tables():
            found.append((model, relation.field.name))
    return sorted(found, key=lambda one: (one[0]._meta.label_lower, one[1]))


def _records(actor: Staff, asked: RecordsRequest) -> list[tuple[str, str]]:
    """Return table and key of whatever hangs on the request, in one statement."""
    known = cases_open_to(actor)
    parts: list[QuerySet[models.Model, tuple[str, str]]] = []
    for model, column in _tied():
        rows = model._base_manager.filter(**{column: asked})
        if any(field.name == "case" for field in model._meta.concrete_fields):
            rows = rows.filter(case__in=known)
        parts.append(
            rows.order_by().values_list(
                Value(model._meta.db_table, output_field=TextField()), Cast("pk", TextField())
            )
        )
    first, *others = parts
    return list(first.union(*others, all=True))


def time_line(
    actor: Staff, asked: RecordsRequest, *, before: int | None = None, most: int = ACTS_A_PAGE
) -> TimeLine:
    """Return a page of what happened to a request, in a fixed number of statements."""
    acts = record_history(
        RecordsRequest._meta.db_table,
        str(asked.pk),
        also=_records(actor, asked),
        most=most + 1,
        before=before,
    )
    numbers = list(dict.fromkeys(act.transaction for act in acts))
    shown = [act for act in acts if act.transaction in numbers[:most]]
    return TimeLine(shown, numbers[most - 1] if len(numbers) > most else None)
