"""Opening an item: its number, its first seal and its first transfer, inside another action."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from datetime import datetime
from typing import Any, TypeVar
from uuid import UUID

from django.db.models import Max
from django.utils import timezone

from cases.access import Act
from cases.actions.entry import called, case_to_change
from cases.models import Case, CaseRecord
from evidence.custody.models import Seal, Transfer
from evidence.custody.numbers import require_number_asked
from evidence.items import rules
from evidence.items.models import Item
from me_office.accounts.models import Staff
from me_office.audit.actions import action
from me_office.audit.errors import Conflict, Invalid, Refused
from me_office.audit.models import Record
from me_office.audit.records import (
    require_reason,
    require_version,
    save_new,
    save_next_version,
    void,
)
from me_office.audit.tidy import entry_as_kept
from me_office.entries import Entry

KeptT = TypeVar("KeptT", bound=CaseRecord)

# What the rows call a field, and what the one form for item, seal and transfer calls it.
FORM_NAMES = {
    "number": "seal_number",
    "number_repeats": "seal_number_repeats",
    "at": "handed_over_at",
    "place": "transfer_place",
    "purpose": "transfer_purpose",
}


def open_item(
    actor: Staff, case: Case, *, kind: str, title: str, entry: Entry, container: Item | None = None
) -> Item:
    """Give the next item number; the case's row is locked, so that no number is given twice."""
    last = Item.objects.filter(case=case).aggregate(last=Max("number"))["last"] or 0
    return save_new(
        actor,
        Item(
            case=case,
            number=last + 1,
            kind=kind,
            title=title[:160],
            container=container,
            collected_at=entry.get("collected_at"),
            collected_by=entry.get("collected_by"),
        ),
        own_key=True,
    )


def close_and_hand_over(actor: Staff, item: Item, entry: Entry) -> None:
    """Write the numbered seal and the first transfer of a new item."""
    collector = entry.get("collected_by") or actor
    handed_over_at: datetime = entry.get("handed_over_at") or timezone.now()
    collected_at: datetime | None = entry.get("collected_at")
    rules.check_collected(collected_at, handed_over_at, now=timezone.now())
    with as_the_form_names_it(FORM_NAMES):
        sealed_at = entry.get("sealed_at") or collected_at or handed_over_at
        apply_first_seal(actor, item, entry, at=sealed_at, by=str(collector))
        taker: Staff | None = entry.get("to_staff")
        party = str(entry.get("to_party") or "").strip() or (str(taker) if taker else "")
        if not party:
            raise Refused("Say who or what received it.", field="to_party")
        if party == str(collector):
            raise Refused("An item cannot pass to the party that holds it.", field="to_party")
        save_new(
            actor,
            Transfer(
                case=item.case,
                item=item,
                from_party=str(collector),
                from_staff=collector,
                to_party=party,
                to_staff=taker,
                to_where="" if taker else str(entry.get("to_where") or ""),
                at=handed_over_at,
                place=str(entry.get("transfer_place") or "").strip(),
                purpose=str(entry.get("transfer_purpose") or "").strip(),
                seal_state="intact",
            ),
            own_key=True,
        )


def require_opened_so(
    there: Any,
    entry: Entry,
    *,
    names: Mapping[str, str] = FORM_NAMES,
    collected: str = "collected_at",
) -> None:
    """Raise Conflict if an item that is there was opened with another seal, time or receiver.

    For a retry that is known by the record's key: `there` is what was recorded, `names` and
    `collected` are what the form calls the fields of the first seal and transfer and of the item.
    What the office fills in where nothing is sent is not compared.
    """
    item: Item = there.item
    opened = [rows.earliest("created_at") for rows in (item.seals, item.transfers)]
    said = {field: entry[name] for field, name in names.items() if name in entry}
    if taker := entry.get("to_party") or entry.get("to_staff"):
        said["to_party"] = str(taker)
    same = collected not in entry or entry[collected] == item.collected_at
    for row in opened:
        columns = {field.name for field in row._meta.concrete_fields}
        own = {name: value for name, value in said.items() if name in columns and value is not None}
        trimmed = {
            name: value.strip() if isinstance(value, str) else value for name, value in own.items()
        }
        kept = entry_as_kept(type(row), trimmed)
        same &= all(getattr(row, name) == value for name, value in kept.items())
    if not same:
        raise Conflict("A record with this key has different content.", record=there)


def apply_first_seal(actor: Staff, item: Item, entry: Entry, *, at: datetime, by: str) -> None:
    """Close a new item under the numbered seal that was entered. Raises Invalid."""
    seal = Seal(
        case=item.case,
        item=item,
        kind="numbered",
        number=str(entry.get("seal_number") or "").strip(),
        number_repeats=str(entry.get("seal_number_repeats") or "").strip(),
        applied_at=at,
        applied_by=by,
    )
    require_number_asked(seal)
    save_new(actor, seal, own_key=True)


def voids_with_item(
    name: str, act: Act, find: Callable[[Case, UUID], KeptT], *, key: str
) -> Callable[..., KeptT]:
    """Return the action `name` that withdraws what `find` locks in a case, and its item.

    Seals and transfers stay on record. `key` is what page and API call its key. Raises NotKnown,
    NotAllowed, StaleRecord, Refused.
    """

    def withdraw(
        actor: Staff, *, case_id: UUID, record_id: UUID, version: int, reason: str
    ) -> KeptT:
        case = case_to_change(actor, act, case_id)
        return void_with_item(actor, find(case, record_id), version=version, reason=reason)

    return action(called(name, withdraw, record_id=key))


def void_with_item(actor: Staff, record: KeptT, *, version: int, reason: str) -> KeptT:
    """Withdraw what is kept as an item, and its item. Raises StaleRecord, Refused."""
    voided = void(actor, record, version=version, reason=reason)
    kept: Any = voided
    void_item(actor, kept.item, reason=reason)
    return voided


def require_correctable(record: Record, what: str, version: int, reason: str) -> None:
    """Refuse to correct what was changed since it was read or withdrawn, or without a reason.

    Raises StaleRecord, Refused.
    """
    require_version(record, version)
    require_active(record, what)
    require_reason(reason)


def correct_with_item(actor: Staff, record: KeptT, title: str, **item_fields: Any) -> KeptT:
    """Write what is said of a thing that is kept, and what its item is called. Raises Invalid."""
    save_next_version(actor, record)
    kept: Any = record
    item = Item.objects.select_for_update().get(pk=kept.item_id)
    for name, value in {"title": title[:160], **item_fields}.items():
        setattr(item, name, value)
    save_next_version(actor, item)
    return record


def void_item(actor: Staff, item: Item, *, reason: str) -> None:
    """Withdraw an item together with what it holds; its number is not given again."""
    void(actor, Item.objects.select_for_update().get(pk=item.pk), reason=reason)


@contextmanager
def as_the_form_names_it(names: Mapping[str, str]) -> Iterator[None]:
    """Put a row's errors beside the fields of the one form that fills several rows."""
    try:
        yield
    except Invalid as error:
        raise Invalid({names.get(key, key): said for key, said in error.errors.items()}) from error


def require_active(record: Item | Any, what: str) -> None:
    """Refuse to change what was withdrawn. Raises Refused."""
    if record.is_voided:
        raise Refused(f"This {what} was withdrawn and can no longer be changed.")
