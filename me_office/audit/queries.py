"""Reads of the audit trail: a case's history, a record's, who looked and what was given out."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import datetime
from functools import cache
from itertools import groupby
from typing import Any
from uuid import UUID

from django.contrib.auth.models import Group
from django.db.models import QuerySet
from django.utils import timezone

from me_office.accounts.models import Staff
from me_office.audit import words
from me_office.audit.guard import tables_that
from me_office.audit.looks import FAILED_TRY
from me_office.audit.models import AccessEvent, AuditEvent

ACTS_A_PAGE = 40
FAILED_TRIES_READ, FAILED_TRIES_SHOWN = 100, 12
LOOKS_A_PAGE = 200
LARGEST_KEY = 2**63 - 1


@dataclass(frozen=True)
class FailedTry:
    """A wrong password or code of somebody's: where it was asked, and the address it came from."""

    at: datetime
    what: str
    address: str
    times: int


@dataclass(frozen=True)
class Change:
    """One field: what it said before, and what it says since."""

    field: str
    was: str
    becomes: str


@dataclass(frozen=True)
class Part:
    """What happened to one record within an act."""

    what: str
    operation: str
    table: str
    record_id: str
    changes: list[Change]
    subject: str = ""


@dataclass(frozen=True)
class HistoryEntry:
    """One act of one person: who, when, what, why, and what changed.

    `who` is empty where a worker did it by itself.
    """

    at: datetime
    who: str
    roles: str
    what: str
    reason: str
    source: str
    address: str
    transaction: int
    parts: list[Part] = field(default_factory=list)

    @property
    def by_hand(self) -> bool:
        """Tell whether the change came past the service, straight into the database."""
        return self.source == "database"

    @property
    def shown_parts(self) -> list[Part]:
        """The records of which something is shown."""
        return [part for part in self.parts if part.changes]

    @property
    def subject(self) -> str:
        """What the act made, where it made one thing: Left lung, 3 Contusion."""
        shown = self.shown_parts
        return shown[0].subject if len(shown) == 1 else ""


@dataclass(frozen=True)
class History:
    """A page of a history, newest first, and the key of the next page."""

    acts: list[HistoryEntry]
    next_before: int | None


@dataclass(frozen=True)
class Look:
    """Somebody looked at one thing, once or several times on end."""

    first_at: datetime
    last_at: datetime
    who: str
    what: str
    address: str
    times: int


@dataclass(frozen=True)
class Readers:
    """A page of who looked, newest first, and the key of the next page."""

    looks: list[Look]
    next_before: int | None


@dataclass(frozen=True)
class GivenOut:
    """A list, a search or an export: who got how many rows, chosen by what."""

    at: datetime
    who: str
    what: str
    asked: str
    rows: int | None
    address: str


@dataclass(frozen=True)
class ListReaders:
    """A page of what was given out over several cases, newest first, and the next page's key."""

    given: list[GivenOut]
    next_before: int | None


def told_of(case_id: UUID) -> QuerySet[AuditEvent]:
    """Return what a case's history tells: every event but those of work notes."""
    events: QuerySet[AuditEvent] = AuditEvent.objects.filter(case_id=case_id)
    return events.exclude(table__in=work_note_tables())


@cache
def work_note_tables() -> tuple[str, ...]:
    """Return the tables whose records are work notes."""
    return tuple(tables_that("work_notes"))


def case_history(case_id: UUID, *, before: int | None = None, by: UUID | None = None) -> History:
    """Return a page of the case's history in a fixed number of statements.

    Pages hold whole acts; walked from the first on, each act that was there is told once, whatever
    is written meanwhile. `before` is the `next_before` of the page above.
    """
    events = told_of(case_id)
    if by is not None:
        events = events.filter(actor_id=by).exclude(act__in=words.AUTOMATIC)
    if before is not None:
        events = events.filter(transaction__lt=before)
    # Grouped first, then cut: an act's number is one for all its events and never changes, while
    # the keys of events that are written at the same time lie among each other.
    newest = list(
        events.order_by("-transaction")
        .values_list("transaction", flat=True)
        .distinct()[: ACTS_A_PAGE + 1]
    )
    shown = newest[:ACTS_A_PAGE]
    rows = told_of(case_id).filter(transaction__in=shown)
    return History(_entries_of(rows), shown[-1] if len(newest) > ACTS_A_PAGE else None)


def key_in(text: str) -> int | None:
    """Return the key of a page as an address gives it, or None where it gives none."""
    if not (text.isascii() and text.isdigit() and len(text) <= 19):
        return None
    return min(int(text), LARGEST_KEY)


def record_history(
    table: str,
    record_id: str,
    *,
    also: Iterable[tuple[str, str]] = (),
    most: int = 30,
    before: int | None = None,
) -> list[HistoryEntry]:
    """Return the newest acts on one record, and on those (table, key) that belong to it.

    `before` is the number of the last act that was shown already.
    """
    records = [(table, record_id), *also]
    rows = AuditEvent.objects.filter(
        table__in={name for name, _ in records}, record_id__in={key for _, key in records}
    )
    earlier = rows if before is None else rows.filter(transaction__lt=before)
    acts = earlier.order_by("-transaction").values_list("transaction", flat=True)
    newest = acts.distinct()[:most]
    return _entries_of(rows.filter(transaction__in=list(newest)))


def acts_on(
    table: str, record_id: str, *, also: Iterable[str] = (), most: int = 12
) -> list[HistoryEntry]:
    """Return the newest acts on one record, with what each did in the tables `also`."""
    own = AuditEvent.objects.filter(table=table, record_id=record_id)
    newest = list(own.order_by("-id").values_list("transaction", flat=True)[:most])
    rows = AuditEvent.objects.filter(table__in=[table, *also], transaction__in=newest)
    return _entries_of(rows)


def case_readers(case_id: UUID, *, before: int | None = None) -> Readers:
    """Return a page of who looked at a case, newest first, in one statement."""
    events = AccessEvent.objects.filter(case_id=case_id)
    if before is not None:
        events = events.filter(id__lt=before)
    rows = list(events.order_by("-id")[: LOOKS_A_PAGE + 1])
    shown = rows[:LOOKS_A_PAGE]
    more = len(rows) > LOOKS_A_PAGE
    return Readers(_looks(shown), shown[-1].pk if more else None)


def list_readers(*, before: int | None = None) -> ListReaders:
    """Return a page of lists, searches and exports that were given out, in one statement."""
    events = AccessEvent.objects.filter(case_id=None).exclude(what=FAILED_TRY)
    if before is not None:
        events = events.filter(id__lt=before)
    rows = list(events.order_by("-id")[: LOOKS_A_PAGE + 1])
    shown = rows[:LOOKS_A_PAGE]
    given = [
        GivenOut(
            row.at,
            row.actor_name,
            words.look_words(row.what),
            ", ".join(f"{name}: {value}" for name, value in row.asked.items() if name != "after"),
            row.rows,
            row.address,
        )
        for row in shown
    ]
    return ListReaders(given, shown[-1].pk if len(rows) > LOOKS_A_PAGE else None)


def failed_tries(person_id: UUID) -> list[FailedTry]:
    """Return the newest wrong passwords and codes of one person, in one statement.

    The same one after another, from one address on one day, is one line with its newest moment.
    """
    events = AccessEvent.objects.filter(actor_id=person_id, what=FAILED_TRY).order_by("-id")

    def same(event: AccessEvent) -> tuple[Any, ...]:
        day = timezone.localtime(event.at).date()
        return words.failed_try_words(event.asked), event.address, day

    lines = []
    for (what, address, _), group in groupby(events[:FAILED_TRIES_READ], key=same):
        rows = list(group)
        lines.append(FailedTry(rows[0].at, what, address, len(rows)))
    return lines[:FAILED_TRIES_SHOWN]


def _looks(events: Iterable[AccessEvent]) -> list[Look]:
    # One person turning pages is one line: the same thing, from the same place, on the same day.
    def same(event: AccessEvent) -> tuple[Any, ...]:
        day = timezone.localtime(event.at).date()
        return event.actor_id, event.what, event.address, day

    looks = []
    for _, group in groupby(events, key=same):
        rows = list(group)
        newest = rows[0]
        what = words.look_words(newest.what)
        looks.append(
            Look(rows[-1].at, newest.at, newest.actor_name, what, newest.address, len(rows))
        )
    return looks


def actors_of(case_id: UUID) -> list[dict[str, object]]:
    """Return the people who changed this case, for the filter."""
    people = (
        told_of(case_id)
        .exclude(actor_id=None)
        .order_by("actor_name", "actor_id")
        .values_list("actor_id", "actor_name")
        .distinct()
    )
    return [{"actor_id": key, "actor_name": name} for key, name in people]


def _entries_of(events: Iterable[AuditEvent]) -> list[HistoryEntry]:
    # Acts may interleave: whole ones are put together first, then ordered, newest first.
    ordered = sorted(events, key=lambda event: (event.transaction, event.id))
    names = _names_in(ordered)
    acts = [list(rows) for _, rows in groupby(ordered, key=_act_of)]
    acts.sort(key=lambda rows: (rows[-1].transaction, rows[-1].id), reverse=True)
    entries: list[HistoryEntry] = []
    for rows in acts:
        first = rows[0]
        entries.append(
            HistoryEntry(
                at=first.at,
                who=_who(first),
                roles="" if first.act in words.AUTOMATIC else first.actor_roles,
                what=words.act_words(first.act) if first.act else "changed the record by hand",
                reason=first.reason,
                source=first.source,
                address=first.address,
                transaction=first.transaction,
                parts=[_part(event, names) for event in rows],
            )
        )
    return entries


def _who(event: AuditEvent) -> str:
    """Who did it; nobody where a worker did it by itself."""
    if event.act in words.AUTOMATIC:
        return ""
    return event.actor_name or f"the database role {event.database_role}"


def _act_of(event: AuditEvent) -> tuple[int, UUID | None, str, str]:
    return event.transaction, event.actor_id, event.act, event.reason


def _part(event: AuditEvent, names: dict[str, str]) -> Part:
    changes = []
    for column, (was, becomes) in event.changes.items():
        if not words.is_shown(event.table, column):
            continue
        old = words.value_words(event.table, column, was, names)
        new = words.value_words(event.table, column, becomes, names)
        if old or new:
            changes.append(Change(words.field_words(event.table, column), old, new))
    return Part(
        what=words.table_words(event.table),
        operation=event.operation,
        table=event.table,
        record_id=event.record_id,
        changes=changes,
        subject=_subject(event, names) if event.operation == "insert" else "",
    )


def _subject(event: AuditEvent, names: dict[str, str]) -> str:
    """Return what a new record is called: 3 Contusion, right lateral chest wall."""
    columns, most = words.NAMED_BY.get(event.table, (words.NAMING, 2))
    said = [
        words.value_words(event.table, column, event.changes[column][1], names)
        for column in columns
        # What somebody signed is a sentence of its own and names nothing.
        if column in event.changes and not (column == "statement" and "signed_as" in event.changes)
    ]
    if event.table in words.NAMED_BY:
        said = [one for one in said if one]
    return " ".join(said[:most])[:120]


def _names_in(events: Iterable[AuditEvent]) -> dict[str, str]:
    keys = {
        str(value)
        for event in events
        for column, values in event.changes.items()
        if column.endswith("_id")
        for value in values
        if value
    }
    uuids = [key for key in keys if len(key) == 36]
    staff = Staff.objects.filter(pk__in=uuids).values_list("pk", "display_name")
    names = {str(pk): name for pk, name in staff}
    roles = [key for key in keys if key.isdigit()]
    if roles:
        names |= {
            str(pk): name
            for pk, name in Group.objects.filter(pk__in=roles).values_list("pk", "name")
        }
    return names
