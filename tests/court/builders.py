"""What hangs on a request, made for tests."""

from __future__ import annotations

from typing import Any

from cases.court.demanding import record_demand
from cases.court.models import Demand, RecordsRequest
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
