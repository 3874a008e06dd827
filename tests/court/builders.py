"""What hangs on a request, made for tests."""

from __future__ import annotations

from typing import Any

from cases.court.counseling import record_counsel
from cases.court.demanding import record_demand
from cases.court.models import Counsel, Demand, RecordsRequest
from me_office.accounts.models import Staff
from me_office.audit.ids import new_id


def demanded(**fields: Any) -> dict[str, Any]:
    """What is entered for a demand."""
    return {
        "kind": "documents",
        "title": "All photographs",
        "words": "Any and all photographs, in original form, of scene and examination.",
        "page": 2,
        **fields,
    }


def demand(by: Staff, asked: RecordsRequest, **fields: Any) -> Demand:
    """A demand of a request."""
    return record_demand(
        by,
        case_id=asked.case_id,
        request_id=asked.pk,
        record_id=new_id(),
        entry=demanded(**fields),
    )


def counsel_entry(**fields: Any) -> dict[str, Any]:
    """What is entered for counsel."""
    return {
        "side": "asking",
        "name": "A. Merrow",
        "firm": "Office of the County Attorney",
        "appears_for": "the State",
        "address": "4 Assize Square, Tarnford",
        "telephone": "555 0126",
        "email": "merrow@county-attorney.example",
        **fields,
    }


def counsel(by: Staff, asked: RecordsRequest, **fields: Any) -> Counsel:
    """Counsel of a request."""
    return record_counsel(
        by,
        case_id=asked.case_id,
        request_id=asked.pk,
        record_id=new_id(),
        entry=counsel_entry(**fields),
    )
