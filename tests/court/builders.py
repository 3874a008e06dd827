"""What hangs on a request, made for tests."""

from __future__ import annotations

import io
from collections.abc import Mapping
from decimal import Decimal
from functools import cache
from typing import Any

import pypdfium2
from django.urls import reverse

from cases.court.counseling import record_counsel
from cases.court.demanding import record_demand
from cases.court.fees import issue_invoice, record_fee
from cases.court.models import Counsel, Demand, FeeRule, Invoice, Original, RecordsRequest
from cases.court.originals import attach_original
from evidence import store
from me_office.accounts.models import Staff
from me_office.audit.ids import new_id


def keys_of(asked: RecordsRequest) -> dict[str, Any]:
    """By what acts and pages know a request."""
    return {"case_id": asked.case_id, "request_id": asked.pk}


def url(name: str, asked: RecordsRequest, **keys: Any) -> str:
    """The address of a page of a request."""
    return reverse(f"court:{name}", kwargs={**keys_of(asked), **keys})


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
        **keys_of(asked),
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
        **keys_of(asked),
        record_id=new_id(),
        entry=counsel_entry(**fields),
    )


@cache
def pdf_of(pages: int) -> bytes:
    """A PDF with blank pages of letter paper."""
    document = pypdfium2.PdfDocument.new()
    for _ in range(pages):
        document.new_page(612, 792)
    made = io.BytesIO()
    document.save(made)
    return made.getvalue()


def original(
    by: Staff, asked: RecordsRequest, content: bytes = b"", *, pages: int = 4, **other: Any
) -> Original:
    """The paper of a request, whose pages nobody counts."""
    file = io.BytesIO(content or pdf_of(1))
    with store.receive(file, name=other.pop("name", "subpoena.pdf")) as incoming:
        return attach_original(
            by,
            **keys_of(asked),
            record_id=other.pop("record_id", new_id()),
            incoming=incoming.recognized(media_type="application/pdf"),
            pages=pages,
            **other,
        )


def fee(by: Staff, **fields: Any) -> FeeRule:
    """A fee of the office."""
    entry = {"name": "Copy on paper", "unit": "page", "amount": Decimal("0.15"), **fields}
    return record_fee(by, record_id=new_id(), entry=entry)


def invoice(
    by: Staff, asked: RecordsRequest, quantities: Mapping[FeeRule, int], **other: Any
) -> Invoice:
    """An invoice of a request."""
    return issue_invoice(
        by,
        **keys_of(asked),
        record_id=other.pop("record_id", new_id()),
        quantities={str(one.pk): Decimal(many) for one, many in quantities.items()},
        entry={"billed_to": "Office of the county attorney", **other},
    )
