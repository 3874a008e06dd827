"""Everything that happened to a request, read from the trail: its own row and whatever hangs on it.

Whatever table of the office points at a request belongs to its time line, of whichever room it is.
What concerns a further case is told only to who may know of that case.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, fields
from datetime import datetime
from functools import cache
from typing import Any
from uuid import UUID

from django.db import models
from django.db.models import QuerySet, TextField, Value
from django.db.models.functions import Cast

from cases.access import cases_open_to_person, knows_cases
from cases.court.models import RecordsRequest
from cases.models import Case
from me_office.accounts.models import Staff
from me_office.audit.models import AuditEvent, Record
from me_office.audit.queries import HistoryEntry, record_history, work_note_tables
from me_office.prepared import PreparedRows

ACTS_A_PAGE = 40
ACTS_BESIDE = 4


@dataclass(frozen=True)
class Line(HistoryEntry):
    """An act on the time line: of what it made beside the request's own row it names that."""

    @property
    def subject(self) -> str:
        """What it made, also where it changed the request with it: extension."""
        own = RecordsRequest._meta.db_table
        made = [part for part in self.shown_parts if part.table != own]
        return made[0].subject if len(made) == 1 else super().subject


@dataclass(frozen=True)
class TimeLine:
    """A page of what happened, newest first, and the key of the next page."""

    acts: list[HistoryEntry]
    next_before: int | None


# What happened that is no act of a person of the office: with the person, the request, and between
# which moments; either may be open.
Moments = Callable[
    [Staff, RecordsRequest, "datetime | None", "datetime | None"], Sequence[HistoryEntry]
]
_MOMENTS: dict[str, Moments] = {}


def tell_moments(key: str, read: Moments) -> None:
    """Add what a room tells beside the acts; the same key again replaces it."""
    _MOMENTS[key] = read


def moment(at: datetime, what: str, address: str = "") -> HistoryEntry:
    """Return something that happened as a line of the time line."""
    return HistoryEntry(at, "", "", what, "", "", address, 0)


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


def _records(actor: Staff, asked: RecordsRequest) -> list[tuple[Any, ...]]:
    """Return table and key of whatever hangs on the request, in one statement."""
    if knows_cases(actor):
        return _known_rows().tuples(actor.pk, asked.pk)
    return list(_rows(asked.pk, Case.objects.none()))


@cache
def _known_rows() -> PreparedRows:
    return PreparedRows(lambda who, asked: _rows(asked, cases_open_to_person(who)), keys=2)


def _rows(asked_id: UUID, known: QuerySet[Case]) -> QuerySet[models.Model, tuple[str, str]]:
    parts: list[QuerySet[models.Model, tuple[str, str]]] = []
    for model, column in _tied():
        rows = model._base_manager.filter(**{column: asked_id})
        if any(field.name == "case" for field in model._meta.concrete_fields):
            rows = rows.filter(case__in=known)
        parts.append(
            rows.order_by().values_list(
                Value(model._meta.db_table, output_field=TextField()), Cast("pk", TextField())
            )
        )
    first, *others = parts
    return first.union(*others, all=True)


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
    more = len(numbers) > most
    since = min((act.at for act in shown), default=None) if more else None
    until = _moment_of(before) if before is not None and _MOMENTS else None
    beside = [one for read in _MOMENTS.values() for one in read(actor, asked, since, until)]
    told = [Line(**{one.name: getattr(act, one.name) for one in fields(act)}) for act in shown]
    shown = sorted([*told, *beside], key=lambda one: one.at, reverse=True)
    return TimeLine(shown, numbers[most - 1] if more else None)


def _moment_of(transaction: int) -> datetime | None:
    rows = AuditEvent.objects.filter(transaction=transaction).order_by("id")
    return rows.values_list("at", flat=True).first()
