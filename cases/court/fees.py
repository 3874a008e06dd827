"""Actions on fees: the office's list, invoices of a request, and what became of them."""

from __future__ import annotations

import io
from collections.abc import Mapping
from decimal import Decimal
from uuid import UUID

from django.utils import timezone

from cases.access import Act
from cases.actions.entry import (
    names_entered,
    refuse_wrong,
)
from cases.actions.office import records_of_office, withdraws_of_office
from cases.court import queries
from cases.court.fee_rules import (
    Line,
    invoice_number,
    line,
    total,
    wrong_in_fee,
    wrong_in_payment,
    wrong_in_quantity,
)
from cases.court.invoice_printing import print_invoice
from cases.court.models import FeeRule, Invoice, InvoiceSeries, RecordsRequest
from cases.court.opening import request_to_change
from cases.court.queries import part_for_update
from evidence import store
from me_office.accounts.models import Staff
from me_office.audit.actions import action
from me_office.audit.errors import Conflict, Invalid, Refused
from me_office.audit.fields import entered, said_of, set_fields
from me_office.audit.records import (
    require_reason,
    require_version,
    save_new,
    save_next_version,
    void,
)
from me_office.entries import Entry

FEE_FIELDS = names_entered(FeeRule)
INVOICE_FIELDS = names_entered(Invoice)
PAYMENT_FIELDS = ("paid_on", "paid_how", "paid_note")


def _check_fee(fee: FeeRule) -> None:
    refuse_wrong(wrong_in_fee(said_of(fee, FEE_FIELDS), timezone.localdate()))


# Invoices that were sent keep theirs.
record_fee = records_of_office(
    "record_fee", FeeRule, "fee", FEE_FIELDS, act=Act.KEEP_CLERK_LISTS, check=_check_fee
)

# Invoices that were sent keep it.
withdraw_fee = withdraws_of_office("withdraw_fee", FeeRule, "fee", act=Act.KEEP_CLERK_LISTS)


@action
def issue_invoice(
    actor: Staff,
    *,
    case_id: UUID,
    request_id: UUID,
    record_id: UUID,
    quantities: Mapping[str, Decimal],
    entry: Entry,
    reason: str = "",
) -> Invoice:
    """Number an invoice, print it and keep it as it is sent.

    `quantities` says of fees, by key, how many; `entry` holds INVOICE_FIELDS. The number is the
    next of the year, given while the row of the year is locked. Raises NotAllowed, NotKnown,
    Refused, Invalid, Conflict.
    """
    asked = request_to_change(actor, case_id, request_id)
    there = Invoice.objects.filter(pk=record_id).first()
    if there is not None:
        return _recorded_before(there, asked, entry, quantities)
    if asked.is_voided:
        raise Refused("The request is withdrawn; nothing is charged for it.")
    lines, currency = _lines(quantities)
    now = timezone.localtime()
    made = Invoice(pk=record_id, case=asked.case, request=asked, currency=currency)
    set_fields(made, entry, INVOICE_FIELDS)
    if made.pay_by and made.pay_by < now.date():
        raise Invalid({"pay_by": ["This day is over."]})
    if not made.billed_to:
        raise Invalid({"billed_to": ["This field is required."]})
    made.lines = [{**one.kept(), "fee": key} for key, one in lines.items()]
    made.total = total(lines.values())
    made.number = _next_number(actor, now.year)
    pdf = print_invoice(made, at=now)
    with store.receive(io.BytesIO(pdf), name=f"{made.number}.pdf") as incoming:
        incoming = incoming.recognized(media_type="application/pdf")
        with store.kept(incoming) as made.file:
            return save_new(actor, made, own_key=True)


def _recorded_before(
    there: Invoice, asked: RecordsRequest, entry: Entry, quantities: Mapping[str, Decimal]
) -> Invoice:
    said = entered(Invoice, entry, INVOICE_FIELDS)
    counted = {one["fee"]: Decimal(one["quantity"]) for one in there.lines}
    same = all(getattr(there, name) == value for name, value in said.items())
    if there.request_id != asked.pk or not same or counted != dict(quantities):
        mine = there if there.case_id == asked.case_id else None
        raise Conflict("A record with this key has different content.", record=mine)
    return there


def _lines(quantities: Mapping[str, Decimal]) -> tuple[dict[str, Line], str]:
    """Return the lines, by the fee's key, and their currency. Raises Invalid."""
    fees = {str(fee.pk): fee for fee in queries.fees()}
    wrong: dict[str, list[str]] = {}
    lines = {}
    for key, quantity in quantities.items():
        fee = fees.get(key)
        words = wrong_in_quantity(fee.unit, quantity) if fee else "The office has no such fee."
        if words:
            wrong[f"quantity_{key}"] = [words]
        elif fee:
            lines[key] = line(fee.name, fee.unit, quantity, fee.amount)
    if wrong:
        raise Invalid(wrong)
    if not lines:
        raise Invalid({"__all__": ["Enter how many of at least one thing."]})
    currencies = {fees[key].currency for key in lines}
    if len(currencies) > 1:
        raise Invalid({"__all__": ["An invoice has one currency; write two."]})
    return lines, currencies.pop()


def _next_number(actor: Staff, year: int) -> str:
    by = {"created_by": actor, "changed_by": actor}
    InvoiceSeries.objects.get_or_create(year=year, defaults=by)
    series = InvoiceSeries.objects.select_for_update().get(year=year)
    series.last += 1
    save_next_version(actor, series)
    return invoice_number(year, series.last)


@action
def record_payment(
    actor: Staff,
    *,
    case_id: UUID,
    request_id: UUID,
    record_id: UUID,
    version: int,
    entry: Entry,
    reason: str = "",
) -> Invoice:
    """Record when and by what an invoice was paid; said again it corrects, with the reason.

    `entry` holds PAYMENT_FIELDS.

    Raises NotAllowed, NotKnown, StaleRecord, Refused, Invalid.
    """
    invoice = _to_change(actor, case_id, request_id, record_id, version)
    if invoice.waived_because:
        raise Refused("The invoice was waived.")
    if invoice.paid_on is not None:
        require_reason(reason)
    set_fields(invoice, entry, PAYMENT_FIELDS)
    if invoice.paid_on is None or not invoice.paid_how:
        names = [name for name in ("paid_on", "paid_how") if not getattr(invoice, name)]
        raise Invalid({name: ["This field is required."] for name in names})
    refuse_wrong(wrong_in_payment({"paid_on": invoice.paid_on}, timezone.localdate()))
    return save_next_version(actor, invoice)


@action
def waive_invoice(
    actor: Staff,
    *,
    case_id: UUID,
    request_id: UUID,
    record_id: UUID,
    version: int,
    reason: str,
) -> Invoice:
    """Note that an invoice need not be paid, with the reason.

    Raises NotAllowed, NotKnown, StaleRecord, Refused.
    """
    invoice = _to_change(actor, case_id, request_id, record_id, version)
    if invoice.paid_on:
        raise Refused("The invoice is paid.")
    if invoice.waived_because:
        raise Refused("The invoice was waived already.")
    invoice.waived_because = require_reason(reason)[:240]
    return save_next_version(actor, invoice)


@action
def withdraw_invoice(
    actor: Staff,
    *,
    case_id: UUID,
    request_id: UUID,
    record_id: UUID,
    version: int,
    reason: str,
) -> Invoice:
    """Withdraw an invoice that was wrong; its number is not given again.

    Raises NotAllowed, NotKnown, StaleRecord, Refused.
    """
    invoice = _to_change(actor, case_id, request_id, record_id, version)
    return void(actor, invoice, reason=reason)


def _to_change(
    actor: Staff, case_id: UUID, request_id: UUID, record_id: UUID, version: int
) -> Invoice:
    asked = request_to_change(actor, case_id, request_id)
    invoice = part_for_update(Invoice, asked, record_id, "invoice")
    if invoice.is_voided:
        raise Refused("The invoice was withdrawn.")
    require_version(invoice, version)
    return invoice
