"""An invoice as PDF, on the office's paper."""

from __future__ import annotations

import tempfile
from datetime import datetime
from pathlib import Path

from django.conf import settings

from cases.court.fee_rules import UNITS, money
from cases.court.models import Invoice
from me_office.shell.templatetags.office import day
from me_office.typesetting import typeset

TEMPLATE = Path(__file__).parent / "typst" / "request-invoice.typ"


def print_invoice(invoice: Invoice, *, at: datetime) -> bytes:
    """Compile the invoice; its request and case are read already."""
    with tempfile.TemporaryDirectory(prefix="request-invoice-") as name:
        return typeset(TEMPLATE, Path(name), invoice_values(invoice, at=at), at=at).pdf


def invoice_values(invoice: Invoice, *, at: datetime) -> dict[str, object]:
    """Return what the template prints, as plain values."""
    asked = invoice.request
    return {
        "office": {
            "name": settings.OFFICE_NAME,
            "address": settings.OFFICE_ADDRESS,
            "phone": settings.OFFICE_PHONE,
        },
        "number": invoice.number,
        "day": day(at),
        "case": invoice.case.label,
        "request": asked.title,
        "court": asked.court,
        "billed_to": invoice.billed_to,
        "address": invoice.address,
        "pay_by": day(invoice.pay_by) if invoice.pay_by else "",
        "lines": [
            {
                "words": one["words"],
                "count": f"{one['quantity']} × {one['each']}"
                + ("" if one["unit"] == "flat" else f" {UNITS[one['unit']][0]}"),
                "amount": one["amount"],
            }
            for one in invoice.lines
        ],
        "total": money(invoice.total, invoice.currency),
    }
