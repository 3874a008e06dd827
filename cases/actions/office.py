"""What belongs to no case, the office's own words, lists, templates: withdrawn, replaced."""

from __future__ import annotations

from collections.abc import Callable, Collection
from typing import Any, TypeAlias, TypeVar
from uuid import UUID

from cases.access import Act
from cases.actions.entry import called, own_row, require_correction, require_for_office
from me_office.accounts.models import Staff
from me_office.audit.actions import action
from me_office.audit.errors import NotKnown, Refused, known_of_office
from me_office.audit.fields import set_fields
from me_office.audit.models import Record, rows_of
from me_office.audit.records import (
    VOIDING,
    recorded_before,
    require_reason,
    require_version,
    save_new,
    save_next_version,
    void,
)
from me_office.entries import Entry

OfficeT = TypeVar("OfficeT", bound=Record)
Put: TypeAlias = Callable[[OfficeT, Entry], object]
"""Puts what was entered onto a record, as it is kept, or refuses. Raises Refused, Invalid."""


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


def adds_to_office(
    name: str,
    model: type[OfficeT],
    put: Put[OfficeT],
    *,
    act: Act,
    assigned: tuple[str, ...] = (),
) -> Callable[..., OfficeT]:
    """Return the action `name` that adds a record to a list of the office.

    `put` puts what was entered onto it, or refuses; `assigned` is not compared with what a request
    brought that comes again. Raises NotAllowed, Conflict, Refused, Invalid.
    """

    def add(actor: Staff, *, record_id: UUID, entry: Entry, reason: str = "") -> OfficeT:
        require_for_office(actor, act)
        made = model(pk=record_id)
        put(made, entry)
        there = recorded_before(made, assigned=assigned)
        return there or save_new(actor, made, own_key=True)

    return action(called(name, add))


def replaces_edition(
    name: str,
    model: type[OfficeT],
    named: str,
    put: Put[OfficeT],
    *,
    act: Act,
    fields: tuple[str, ...],
    fixed: str,
) -> Callable[..., OfficeT]:
    """Return the action `name` that puts a new edition in place of one, which is then withdrawn.

    `named` is what it is called where there is none. What is not entered of `fields` is as it was;
    `fixed` always is. Raises NotAllowed, NotKnown, StaleRecord, Conflict, Refused, Invalid.
    """

    def replace(
        actor: Staff, *, record_id: UUID, old_id: UUID, version: int, entry: Entry, reason: str = ""
    ) -> OfficeT:
        require_for_office(actor, act)
        old = locked_of_office(model, old_id, named)
        edition: Any = old
        kept = {field: getattr(old, field) for field in fields}
        new = model(pk=record_id, **{**kept, "replaces": old, "number": edition.number + 1})
        put(new, {**entry, fixed: kept[fixed]})
        return _put_in_place(actor, old, new, version=version, reason=reason)

    return action(called(name, replace, old_id=f"{named}_id"))


def _put_in_place(
    actor: Staff, old: OfficeT, new: OfficeT, *, version: int, reason: str
) -> OfficeT:
    # A retry may come after the new edition was replaced or withdrawn.
    there = recorded_before(new, assigned=VOIDING)
    if there is not None:
        return there
    require_version(old, version)
    if old.is_voided:
        raise Refused("This edition is no longer in use.")
    void(actor, old, reason=reason)
    return save_new(actor, new, own_key=True)


def changes_own(
    name: str,
    model: type[OfficeT],
    named: str,
    put: Put[OfficeT],
    *,
    act: Act,
    shipped: Callable[[], Collection[str]],
) -> Callable[..., OfficeT]:
    """Return the action `name` by which the office says otherwise what comes with the software.

    `named` is what it is called where none comes of this key. Version 0 is the text as it comes.
    Raises NotAllowed, NotKnown, StaleRecord, Refused, Invalid.
    """

    def change(
        actor: Staff, *, key: str, record_id: UUID, version: int, entry: Entry, reason: str
    ) -> OfficeT:
        require_for_office(actor, act)
        own = own_row(model, key)
        if own is None and key not in shipped():
            raise NotKnown(f"There is no such {named}.")
        require_reason(reason)
        if own is None or (own.pk == record_id and version == 0):  # or the same request again
            made = model(pk=record_id, **{"key": key})
            put(made, entry)
            return save_new(actor, made)
        require_version(own, version)
        put(own, entry)
        return save_next_version(actor, own)

    return action(called(name, change))


def withdraws_own(
    name: str, model: type[OfficeT], lacking: str, *, act: Act
) -> Callable[..., OfficeT]:
    """Return the action `name` by which what comes with the software is said again as it comes.

    `lacking` is said where the office has nothing of its own. Raises NotAllowed, NotKnown,
    StaleRecord, Refused.
    """

    def withdraw(actor: Staff, *, key: str, version: int, reason: str) -> OfficeT:
        require_for_office(actor, act)
        own = own_row(model, key)
        if own is None:
            raise NotKnown(lacking)
        return void(actor, own, version=version, reason=reason)

    return action(called(name, withdraw))
