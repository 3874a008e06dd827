"""A record as an action meets it: what was read, what was recorded before, how it is written."""

from __future__ import annotations

import functools
from collections.abc import Callable
from typing import Any, TypeVar
from uuid import UUID

from django.core.exceptions import ValidationError
from django.db import IntegrityError, models, transaction
from django.utils import timezone

from me_office.accounts.models import Staff
from me_office.audit import keys
from me_office.audit.errors import Conflict, Invalid, Refused, StaleRecord
from me_office.audit.models import Record, rows_of
from me_office.audit.tidy import entry_as_kept, lines, tidy
from me_office.prepared import PreparedRows

RecordT = TypeVar("RecordT", bound=Record)


def require_version(record: Record, version: int) -> None:
    """Refuse an update that did not read what stands now. Raises StaleRecord."""
    if record.version != version:
        raise StaleRecord(record)


def require_reason(reason: str, *, field: str = "reason") -> str:
    """Return the reason as it is kept, without outer blanks. Raises Refused when there is none."""
    kept = lines(reason).strip()
    if not kept:
        raise Refused("Say why.", field=field)
    return kept


@functools.cache
def _of_key(model: type[Record]) -> PreparedRows:
    return PreparedRows(lambda key: rows_of(model).filter(pk=key).order_by())


# What withdrawing writes: a retry gets its answer also of what was withdrawn since.
VOIDING = ("voided_at", "voided_by", "void_reason")
_WHOSE = ("case_id", "owner_id", "person_id")


def recorded_before(record: RecordT, *, assigned: tuple[str, ...] = ()) -> RecordT | None:
    """Return the stored record of the same id if it says the same (a retried request), else None.

    `assigned` names fields that the office fills in (a running number), which are not compared.
    Raises Conflict when the stored record says something else.
    """
    there = _of_key(type(record)).one(type(record), UUID(str(record.pk)))
    if there is None:
        return None
    tidy(record)
    if _content(there, leave_out=assigned) != _content(record, leave_out=assigned):
        # What another case or another person keeps under this key is told to nobody.
        same = all(getattr(there, of, None) == getattr(record, of, None) for of in _WHOSE)
        raise Conflict(
            "A record with this key has different content.", record=there if same else None
        )
    return there


def recorded_as(there: RecordT, **content: Any) -> RecordT:
    """Return a record that is there already if it says this. Raises Conflict otherwise.

    For an act that knows its retries by the record's key, asked after `access.require_at_all`.
    """
    said = entry_as_kept(type(there), content)
    if any(getattr(there, name) != value for name, value in said.items()):
        raise Conflict(keys.OTHER_WORDS, record=there)
    return there


def save_new(actor: Staff, record: RecordT, *, own_key: bool = False) -> RecordT:
    """Check and insert a new record; return the stored one if it was recorded before.

    `own_key` says that nobody can have recorded it before: the action made the key itself, or
    has looked for it already. Raises Invalid, Conflict.
    """
    record.created_by = actor
    record.changed_by = actor
    there = None if own_key else recorded_before(record)
    if there is not None:
        return there
    _clean_fields(tidy(record))
    _write(record, lambda: record.save(force_insert=True))
    return record


def save_next_version(actor: Staff, record: RecordT) -> RecordT:
    """Check and write a changed record as its next version. Raises Invalid."""
    record.changed_by = actor
    _clean_fields(tidy(record))
    read = record.version
    record.version += 1
    try:
        _write(record, record.save)
    except BaseException:
        record.version = read
        raise
    return record


def void(actor: Staff, record: RecordT, *, reason: str, version: int | None = None) -> RecordT:
    """Withdraw a record: it stays in history, and no longer counts.

    `version` is the one that was read, unless it was compared before. Raises StaleRecord, Refused.
    """
    if version is not None:
        require_version(record, version)
    record.void_reason = require_reason(reason)
    if record.is_voided:
        raise Refused("This was already voided.")
    record.voided_at = timezone.now()
    record.voided_by = actor
    return save_next_version(actor, record)


def _content(record: Record, *, leave_out: tuple[str, ...] = ()) -> dict[str, Any]:
    bookkeeping = {"version", "created_at", "created_by", "changed_at", "changed_by", *leave_out}
    return {
        field.attname: field.to_python(getattr(record, field.attname))
        for field in record._meta.concrete_fields
        if field.name not in bookkeeping
    }


def _clean_fields(record: Record) -> None:
    """Check the values of the fields. Raises Invalid, then with whatever else is wrong."""
    try:
        record.clean_fields(exclude=_loaded(record))
        record.clean()
    except ValidationError:
        _clean(record)
        raise


def _loaded(record: Record) -> set[str]:
    """Name the foreign keys whose record was read from the database or written to it.

    They need not be asked for again: no record is ever deleted, and the table's own foreign key
    stands behind it.
    """
    return {
        field.name
        for field in record._meta.concrete_fields
        if isinstance(field, models.ForeignKey)
        and field.is_cached(record)
        and (there := getattr(record, field.name)) is not None
        and not there._state.adding
    }


def _write(record: Record, write: Callable[[], None]) -> None:
    """Write a record; what its table refuses is said beside the field. Raises Invalid.

    The table knows what is unique and what must hold; asking before every write would need
    several statements for each constraint, and would still miss whoever writes at the same time.
    """
    try:
        with transaction.atomic():
            write()
    except IntegrityError:
        _clean(record)
        raise


def _clean(record: Record) -> None:
    try:
        record.full_clean(validate_unique=True, validate_constraints=True)
    except ValidationError as error:
        raise Invalid(error.message_dict) from error
