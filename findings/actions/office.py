"""How the office's own words and templates are withdrawn: they belong to no case."""

from __future__ import annotations

from collections.abc import Callable
from typing import TypeVar
from uuid import UUID

from cases.access import Act
from cases.actions.entry import called, require_for_office
from me_office.accounts.models import Staff
from me_office.audit.actions import action, void
from me_office.audit.errors import NotKnown
from me_office.audit.models import Record, rows_of

OfficeT = TypeVar("OfficeT", bound=Record)


def locked_of_office(model: type[OfficeT], record_id: UUID, named: str) -> OfficeT:
    """Return a record of the office, locked. Raises NotKnown."""
    record = rows_of(model).select_for_update().filter(pk=record_id).first()
    if record is None:
        raise NotKnown(f"There is no such {named}.")
    return record


def withdraws_of_office(name: str, model: type[OfficeT], named: str) -> Callable[..., OfficeT]:
    """Return the action `name` that withdraws a record of the office: it is no longer offered.

    What was recorded with it stays. `named` is what it is called, and begins its key. Raises
    NotAllowed, NotKnown, StaleRecord, Refused.
    """

    def withdraw(actor: Staff, *, record_id: UUID, version: int, reason: str) -> OfficeT:
        require_for_office(actor, Act.EXAMINE)
        record = locked_of_office(model, record_id, named)
        return void(actor, record, version=version, reason=reason)

    return action(called(name, withdraw, record_id=f"{named}_id"))
