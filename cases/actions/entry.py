"""What was entered, put onto a record, and saved as new or as the next version."""

from __future__ import annotations

import functools
import inspect
from collections.abc import Callable, Mapping
from typing import Any, TypeVar
from uuid import UUID

from cases import queries
from cases.access import Act, require, require_role
from cases.models import Case, CaseRecord
from me_office.accounts.models import Staff
from me_office.audit import keys
from me_office.audit.actions import action
from me_office.audit.errors import Invalid, NotKnown, Refused, StaleRecord, known_of_office
from me_office.audit.fields import set_fields
from me_office.audit.ids import new_id
from me_office.audit.models import Record, rows_of
from me_office.audit.records import (
    recorded_before,
    require_reason,
    require_version,
    save_new,
    save_next_version,
    void,
)
from me_office.entries import Entry

RecordT = TypeVar("RecordT", bound=Record)
EntryT = TypeVar("EntryT", bound=CaseRecord)


def names_entered(model: type[Record], *, leave_out: tuple[str, ...] = ()) -> tuple[str, ...]:
    """Return the fields of a record type that a person enters."""
    return tuple(
        field.name
        for field in model._meta.concrete_fields
        if field.editable and field.name not in leave_out
    )


def refuse_wrong(wrong: Mapping[str, str] | Mapping[str, list[str]]) -> None:
    """Raise Invalid when a rule found something wrong, said by field."""
    if wrong:
        raise Invalid({name: [said] if isinstance(said, str) else said
                       for name, said in wrong.items()})  # fmt: skip


def save_only_one(
    actor: Staff,
    record: RecordT | None,
    make: RecordT,
    version: int,
    entry: Entry,
    names: tuple[str, ...],
) -> RecordT:
    """Save the one record of its kind that a case has; version 0 makes it.

    `record` is what stands, if anything; `make` the new one. Raises StaleRecord, Invalid.
    """
    if record is None:
        if version:
            raise NotKnown("There is no such record.")
        set_fields(make, entry, names)
        return save_new(actor, make)
    if version == 0:
        set_fields(make, entry, names)
        again = recorded_before(make) if make.pk == record.pk else None
        if again is None:
            raise StaleRecord(record)
        return again
    require_version(record, version)
    set_fields(record, entry, names)
    return save_next_version(actor, record)


def save_entry(
    actor: Staff, model: type[EntryT], *, case: Case, record_id: UUID, version: int, entry: Entry
) -> EntryT:
    """Save one of the records of a kind that a case has; version 0 makes it.

    Raises NotKnown, StaleRecord, Conflict, Refused, Invalid.
    """
    names = names_entered(model)
    if version == 0:
        made = model(pk=record_id, case=case)
        set_fields(made, entry, names)
        return save_new(actor, made)
    record = known_of_office(
        rows_of(model).select_for_update().filter(pk=record_id, case=case).first(), "record"
    )
    refuse_voided(record)
    require_version(record, version)
    set_fields(record, entry, names)
    return save_next_version(actor, record)


def records(
    name: str,
    model: type[EntryT],
    act: Act,
    *,
    wrong: Callable[[Mapping[str, Any]], Mapping[str, str]] | None = None,
) -> Callable[..., EntryT]:
    """Return the action `name` that notes a record of a kind; version 0 makes it, else it changes.

    `wrong` says by field what cannot be so. Raises as `save_entry`, and NotAllowed.
    """

    def record(
        actor: Staff, *, case_id: UUID, record_id: UUID, version: int = 0,
        entry: Entry, reason: str = "",
    ) -> EntryT:  # fmt: skip
        case = case_to_change(actor, act, case_id)
        if wrong:
            refuse_wrong(wrong(entry))
        return save_entry(
            actor, model, case=case, record_id=record_id, version=version, entry=entry
        )

    return action(called(name, record))


def void_entry(
    actor: Staff, model: type[EntryT], *, act: Act, record_id: UUID, version: int, reason: str,
    case_id: UUID | None = None,
) -> EntryT:  # fmt: skip
    """Withdraw one of the records of a kind that a case has; `case_id` is told by an address.

    Raises NotKnown, NotAllowed, StaleRecord, Refused.
    """
    case_to_change(actor, act, case_of(model, record_id, within=case_id))
    record = rows_of(model).select_for_update().get(pk=record_id)
    return void(actor, record, version=version, reason=reason)


def voids(
    name: str, model: type[EntryT], act: Act, *, then: Callable[[EntryT], None] | None = None
) -> Callable[..., EntryT]:
    """Return the action of this name that withdraws a record of a kind.

    `then` does what follows from it, or refuses. Raises as `void_entry`.
    """

    def withdraw(
        actor: Staff, *, record_id: UUID, version: int, reason: str, case_id: UUID | None = None
    ) -> EntryT:
        record = void_entry(
            actor, model, act=act, record_id=record_id, version=version, reason=reason,
            case_id=case_id,
        )  # fmt: skip
        if then:
            then(record)
        return record

    return action(called(name, withdraw))


def withdraws(
    name: str, act: Act, find: Callable[[Case, UUID], RecordT], *, key: str
) -> Callable[..., RecordT]:
    """Return the action `name` that withdraws the record that `find` locks in a case.

    `key` is what page and API call its key. Raises NotKnown, NotAllowed, StaleRecord, Refused.
    """

    def withdraw(
        actor: Staff, *, case_id: UUID, record_id: UUID, version: int, reason: str
    ) -> RecordT:
        case = case_to_change(actor, act, case_id)
        return void(actor, find(case, record_id), version=version, reason=reason)

    return action(called(name, withdraw, record_id=key))


def called(name: str, function: Callable[..., Any], **other: str) -> Callable[..., Any]:
    """Give an action the name that the history tells, and its parameters `other` names."""
    own = {there: here for here, there in other.items()}
    hidden = other.keys() - own.keys()

    @functools.wraps(function)
    def run(actor: Staff, /, **sent: Any) -> Any:
        if inside := hidden & sent.keys():
            raise TypeError(f"{name} takes no {min(inside)}: it is {other[min(inside)]} here")
        return function(actor, **{own.get(one, one): value for one, value in sent.items()})

    taken = inspect.signature(function)
    given = [one.replace(name=other.get(one.name, one.name)) for one in taken.parameters.values()]
    run.__signature__ = taken.replace(parameters=given)  # type: ignore[attr-defined]
    run.__name__ = run.__qualname__ = name
    return run


def case_to_change(actor: Staff, act: Act, case_id: UUID) -> Case:
    """Return the case, locked, for who may do this to it: what most actions begin with.

    Whatever only reads asks `cases.access.case_for`. Raises NotKnown, NotAllowed.
    """
    case = queries.case_for_update(case_id)
    require(actor, act, case)
    return case


def require_for_office(actor: Staff, act: Act) -> None:
    """Refuse an act that concerns no case; a retried request gets its answer. Raises NotAllowed."""
    require_role(actor, act)
    keys.recall()


def own_row(model: type[RecordT], key: str) -> RecordT | None:
    """Return what the office changed of a text that comes with the software, locked."""
    return rows_of(model).active().select_for_update(of=("self",)).filter(key=key).first()


def save_as(actor: Staff, record: RecordT, version: int) -> RecordT:
    """Write a record as new where `version` is 0, else as its next version. Raises Invalid."""
    if version:
        return save_next_version(actor, record)
    return save_new(actor, record, own_key=True)


def require_standing(record: Record, version: int) -> None:
    """Refuse what was withdrawn or changed since it was read. Raises Refused, StaleRecord."""
    refuse_voided(record)
    require_version(record, version)


def require_correction(record: Record, version: int, reason: str) -> None:
    """Refuse a correction of what no longer stands so, or without a reason.

    Raises Refused, StaleRecord.
    """
    require_standing(record, version)
    require_reason(reason)


def case_of(model: type[CaseRecord], record_id: UUID, *, within: UUID | None = None) -> UUID:
    """Return the key of the case that a record belongs to, and no other's than `within`.

    Raises NotKnown.
    """
    rows = model.objects.filter(pk=record_id, **({"case": within} if within else {}))
    case_id: UUID | None = rows.values_list("case_id", flat=True).first()
    return known_of_office(case_id, "record")


def refuse_voided(record: Record) -> None:
    """Refuse to change what was withdrawn."""
    if record.is_voided:
        raise Refused("This was voided. Enter it again if it is correct after all.")


def key_or_new(record_id: UUID | None) -> UUID:
    """Return the key that the client made, or a new one."""
    return record_id or new_id()
