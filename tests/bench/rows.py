"""Writes invented records by COPY, past the triggers, together with the trail they would leave."""

from __future__ import annotations

import json
import random
from collections import Counter
from datetime import datetime
from typing import Any
from uuid import UUID

from django.db import models
from django.db.models.expressions import DatabaseDefault

from me_office.accounts.models import Staff
from me_office.audit.ids import new_id
from me_office.audit.models import AccessEvent, AuditEvent, Record
from tests.builders import past_the_triggers

UNSAID = {"id", "version", "created_at", "created_by_id", "changed_at", "changed_by_id"}


def _usual(field: Any) -> Any:
    """What a column holds unless something is said; what the database would fill in, too."""
    default = field.get_default()
    return default.expression.value if isinstance(default, DatabaseDefault) else default


class Table:
    """The rows of one model that wait to be written."""

    def __init__(self, model: type[models.Model]) -> None:
        self.name = model._meta.db_table
        # A number that the database gives is left to it.
        fields = [f for f in model._meta.concrete_fields if not isinstance(f, models.AutoField)]
        self.columns = [field.column for field in fields]
        self.names = [field.attname for field in fields]
        self.json = {field.attname for field in fields if isinstance(field, models.JSONField)}
        self.usual = {
            field.attname: None if field.primary_key and callable(field.default) else _usual(field)
            for field in fields
        }
        self.rows: list[tuple[Any, ...]] = []

    def add(self, said: dict[str, Any]) -> None:
        """Take a row: what is said, and the usual for the rest."""
        row = self.usual | said
        if len(row) != len(self.names):
            raise KeyError(f"{self.name} has no {set(said) - set(self.names)}")
        for name in self.json:
            row[name] = json.dumps(row[name], default=str)
        self.rows.append(tuple(row[name] for name in self.names))

    def write(self, cursor: Any) -> int:
        """Send the waiting rows; return how many."""
        columns = ", ".join(f'"{column}"' for column in self.columns)
        with cursor.copy(f'COPY "{self.name}" ({columns}) FROM STDIN') as copy:
            for row in self.rows:
                copy.write_row(row)
        written = len(self.rows)
        self.rows.clear()
        return written


class Book:
    """Collects records and the events they would have left; `write` sends all of it."""

    def __init__(self, chance: random.Random) -> None:
        self.chance = chance
        self.tables: dict[type[models.Model], Table] = {}
        self.acts = 0
        self.written: Counter[str] = Counter()

    def row(self, model: type[models.Model], /, **said: Any) -> None:
        """Take a row that leaves no event."""
        table = self.tables.get(model)
        if table is None:
            table = self.tables[model] = Table(model)
        table.add(said)

    def record(
        self,
        model: type[Record],
        at: datetime,
        by: Staff,
        /,
        *,
        act: str = "",
        version: int = 1,
        **said: Any,
    ) -> UUID:
        """Take a record made at a moment by a person; with `act`, also the event it left."""
        key: UUID = said.pop("id", None) or new_id()
        made = {"created_at": at, "created_by_id": by.pk, "changed_at": at, "changed_by_id": by.pk}
        self.row(model, id=key, version=version, **made, **said)
        if act:
            case_id = said.get("case_id", key)
            changes = {name: [None, value] for name, value in said.items() if name not in UNSAID}
            self.event(model, key, at, by, case_id=case_id, act=act, changes=changes)
        return key

    def event(
        self,
        model: type[models.Model],
        key: UUID,
        at: datetime,
        by: Staff,
        *,
        case_id: UUID,
        act: str,
        changes: dict[str, list[Any]],
        operation: str = "insert",
        reason: str = "",
    ) -> None:
        """Take the event that a change leaves; `next_act` begins another transaction."""
        self.row(
            AuditEvent,
            at=at,
            transaction=self.acts,
            table=model._meta.db_table,
            operation=operation,
            record_id=str(key),
            case_id=case_id,
            changes=changes,
            act=act,
            reason=reason,
            actor_id=by.pk,
            actor_name=by.display_name,
            actor_roles=by.role_words,
            source="page",
            request_id=str(key),
            address="10.20.4.17",
            database_role="office_app",
        )

    def next_act(self) -> None:
        """Begin the events of another act."""
        self.acts += 1

    def look(self, case_id: UUID, at: datetime, by: Staff, what: str) -> None:
        """Take the event that a look at a case leaves."""
        self.row(
            AccessEvent,
            at=at,
            case_id=case_id,
            what=what,
            actor_id=by.pk,
            actor_name=by.display_name,
            address="10.20.4.17",
        )

    def write(self) -> None:
        """Send everything that waits."""
        with past_the_triggers() as cursor:
            for table in self.tables.values():
                self.written[table.name] += table.write(cursor)
