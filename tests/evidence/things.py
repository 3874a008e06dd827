"""Things kept as evidence or as personal effects, for tests."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from cases.models import Case
from evidence.property import actions
from evidence.property.models import PropertyItem
from me_office.accounts.models import Staff
from me_office.audit.ids import new_id
from tests.evidence.items import specimen_entry

RING = {
    "category": "valuables",
    "kept_as": "property",
    "description": "Yellow metal ring",
    "found": "on the body",
    "found_at": "left ring finger",
}
BULLET = {
    "category": "ammunition",
    "kept_as": "evidence",
    "description": "Deformed projectile",
    "found": "at the scene",
    "found_at": "wall behind the chair",
}
CASH = {
    **RING,
    "category": "cash",
    "description": "Bank notes",
    "cash_count": [{"pieces": 3, "value": "20.00"}, {"pieces": 1, "value": "5.00"}],
    "cash_currency": "USD",
    "witnessed_by": "L. Quill",
}


def keep(
    actor: Staff, case: Case, what: dict[str, Any], *, record_id: UUID | None = None, **fields: Any
) -> PropertyItem:
    """Record a thing as a page or the API would."""
    return actions.record_property(
        actor,
        case_id=case.pk,
        record_id=record_id or new_id(),
        entry={**specimen_entry(actor), **what, **fields},
    )
