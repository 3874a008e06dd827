"""What belongs to no case, the office's own words, lists, templates: withdrawn, replaced."""

from __future__ import annotations

from collections.abc import Callable
from typing import TypeVar
from uuid import UUID

from cases.access import Act
from cases.actions.entry import called, require_correction, require_for_office
from me_office.accounts.models import Staff
from me_office.audit.actions import action
from me_office.audit.errors import Refused, known_of_office
from me_office.audit.fields import set_fields
from me_office.audit.models import Record, rows_of
from me_office.audit.records import (
    VOIDING,
    recorded_before,
    require_version,
    save_new,
    save_next_version,
    void,
)
from me_office.entries import Entry

OfficeT = TypeVar("OfficeT", bound=Record)


def locked_of_office(model: type[OfficeT], record_id: UUID, named: str) -> OfficeT:
    """Return a record of the office, locked. Raises NotKnown."""
    return known_of_office(rows_of(model).select_for_update().filter(pk=record_id).first(), named)


def records_of_office(
    name: str,
    model: type[OfficeT],
    named: str,
    fields: tuple[str, ...],
    *,
    act: Act,
    check: Callable[[OfficeT], None],
) -> Callable[..., OfficeT]:
    """Return the action `name` that makes a record of the office, or corrects one, with the reason.

    `named` is what it is called, `fields` are what a person enters; `check` puts it as it is kept,
    and refuses. Version 0 makes one. Raises NotAllowed, NotKnown, StaleRecord, Refused, Invalid,
    Conflict.
    """

    def record(
        actor: Staff, *, record_id: UUID, version: int = 0, entry: Entry, reason: str = ""
    ) -> OfficeT:
        require_for_office(actor, act)
        if version == 0:
            kept = model(pk=record_id)
        else:
            kept = locked_of_office(model, record_id, named)
            require_correction(kept, version, reason)
        set_fields(kept, entry, fields)
        check(kept)
        return save_next_version(actor, kept) if version else save_new(actor, kept)

    return action(called(name, record))


def withdraws_of_office(
    name: str, model: type[OfficeT], named: str, *, act: Act, key: str = "record_id"
) -> Callable[..., OfficeT]:
    """Return the action `name` that withdraws a record of the office: it is no longer offered.

    What was recorded with it stays. `named` is what it is called, `key` what page and API call its
    key. Raises NotAllowed, NotKnown, StaleRecord, Refused.
    """

    def withdraw(actor: Staff, *, record_id: UUID, version: int, reason: str) -> OfficeT:
        require_for_office(actor, act)
        record = locked_of_office(model, record_id, named)
        return void(actor, record, version=version, reason=reason)

    return action(called(name, withdraw, **({} if key == "record_id" else {"record_id": key})))


def put_in_place(actor: Staff, old: OfficeT, new: OfficeT, *, version: int, reason: str) -> OfficeT:
    """Put a new edition in place of one that is withdrawn with the reason.

    Raises StaleRecord, Conflict, Refused, Invalid.
    """
    # A retry may come after the new edition was replaced or withdrawn.
    there = recorded_before(new, assigned=VOIDING)
    if there is not None:
        return there
    require_version(old, version)
    if old.is_voided:
        raise Refused("This edition is no longer in use.")
    void(actor, old, reason=reason)
    return save_new(actor, new, own_key=True)
