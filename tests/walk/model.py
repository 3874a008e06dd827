"""A plain account of one case: who did what, and how every row must stand because of it.

Nothing here asks the service; it is told what was sent, and what the trail says came of it.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from typing import Any
from uuid import UUID, uuid4

from django.utils import timezone

from me_office.accounts.models import Staff

# What may follow what, written out a second time.
MOVES = {("open", "in review"), ("in review", "open"), ("in review", "signed"),
         ("reported", "open")}  # fmt: skip
REPORT_MOVES = {("draft", "submitted"), ("submitted", "returned"), ("returned", "submitted"),
                ("submitted", "signed")}  # fmt: skip
LETTERS = {"reported": "R", "open": "O", "in review": "V", "signed": "S"}


@dataclass
class Row:
    """One row as the account has it."""

    table: str
    key: UUID
    version: int = 1
    voided: bool = False
    columns: dict[str, Any] = field(default_factory=dict, repr=False)


@dataclass
class Sent:
    """One request: who sent what, under which key, and which record it was answered with."""

    kind: str
    actor: Staff
    keywords: dict[str, Any]
    answer: UUID | None = None
    key: UUID = field(default_factory=uuid4)


class Account:
    """Everything that must be true of one case."""

    def __init__(self) -> None:
        self.rows: dict[UUID, Row] = {}
        self.sent: list[Sent] = []
        self.told: list[tuple[str, str]] = []
        self.state = "reported"
        self.case_id: UUID
        self.gaps: set[Any] = set()
        self.wrote: set[UUID] = set()
        self._begun = timezone.now().replace(microsecond=0) - timedelta(days=3)
        self._moments = 0

    def moment(self) -> datetime:
        """Return a moment of the past, each later than the one before."""
        self._moments += 1
        return self._begun + timedelta(minutes=self._moments)

    def standing(self, table: str, **columns: Any) -> list[Row]:
        """Return the rows of a table that were not withdrawn and say this."""
        return [
            row
            for row in self.rows.values()
            if row.table == table
            and not row.voided
            and all(row.columns.get(name) == value for name, value in columns.items())
        ]

    def take_over(self, event: Any) -> None:
        """Note what one event of the trail says; a version is 1 at first, then the next one."""
        key = UUID(event.record_id)
        changes: Mapping[str, Any] = event.changes
        if event.operation == "insert":
            assert key not in self.rows, f"{event.table} {key} was written twice"
            assert changes["version"] == [None, 1], event.table
            self.rows[key] = Row(event.table, key)
        row = self.rows[key]
        for name, (was, becomes) in changes.items():
            # An insert leaves out what is empty.
            stood = row.columns.get(name, "" if was == "" else None)
            assert stood == was, f"{event.table}.{name} was lost in between"
            row.columns[name] = becomes
        if event.operation == "update":
            assert changes["version"] == [row.version, row.version + 1], event.table
            row.version += 1
        row.voided = row.columns.get("voided_at") is not None
        self._follow_states(event.table, changes, event.operation)

    def _follow_states(self, table: str, changes: Mapping[str, Any], operation: str) -> None:
        if "state" not in changes or operation == "insert":
            return
        if table == "cases_case":
            assert tuple(changes["state"]) in MOVES
            self.state = changes["state"][1]
        elif table == "review_report":
            assert tuple(changes["state"]) in REPORT_MOVES
