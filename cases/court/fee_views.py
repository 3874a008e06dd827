"""Pages of the office's fees and of the invoices of a request."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any
from uuid import UUID

from django.http import HttpResponse, HttpResponseBase
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods, require_safe

from cases.access import Act, case_for, may_somewhere, require_role
from cases.course import case_frame
from cases.court import fees, queries
from cases.court.forms import FeeForm, InvoiceForm, PaymentForm
from cases.court.models import Invoice
from evidence.store.serving import hand_over
from me_office.accounts.requests import StaffRequest
from me_office.shell.confirming import Confirmation, confirming
from me_office.shell.forms import answer_done, answer_form, submitted

PAGE = "court:request"


@require_GET
def office_fees(request: StaffRequest) -> HttpResponse:
    """Show what the office charges."""
    require_role(request.user, Act.SEE)
    context = {
        "fees": queries.fees(),
        "may_change": may_somewhere(request.user, Act.KEEP_CLERK_LISTS),
    }
    return render(request, "court/fees.html", context)


@require_http_methods(["GET", "POST"])
def add_fee(request: StaffRequest) -> HttpResponse:
    """Put a fee on the list."""
    require_role(request.user, Act.KEEP_CLERK_LISTS)
    form = FeeForm(request.POST or None)
    saved = submitted(request, form, fees.record_fee, version=0)
    if saved:
        return answer_done(request, f"Added: {saved}.", "court:fees")
    return answer_form(request, "court/fee_form.html", {}, form)


@require_http_methods(["GET", "POST"])
def change_fee(request: StaffRequest, record_id: UUID) -> HttpResponse:
    """Change a fee, with the reason."""
    require_role(request.user, Act.KEEP_CLERK_LISTS)
    form = FeeForm(request.POST or None, instance=queries.fee_of(record_id))
    saved = submitted(request, form, fees.record_fee, record_id=record_id)
    if saved:
        return answer_done(request, f"Changed: {saved}.", "court:fees")
    return answer_form(request, "court/fee_form.html", {"fee": queries.fee_of(record_id)}, form)


@require_http_methods(["GET", "POST"])
def withdraw_fee(request: StaffRequest, record_id: UUID) -> HttpResponse:
    """Take a fee off the list."""
    require_role(request.user, Act.KEEP_CLERK_LISTS)
    fee = queries.fee_of(record_id)
    said = Confirmation(
        "Withdraw a fee",
        f"{fee} will be taken off the list. Invoices that were sent keep it.",
        "Withdraw it",
        back=reverse("court:fees"),
        done=f"Withdrawn: {fee}.",
    )
    return confirming(request, fee, fees.withdraw_fee, said, record_id=record_id)


@require_http_methods(["GET", "POST"])
def issue(request: StaffRequest, case_id: UUID, request_id: UUID) -> HttpResponse:
    """Write an invoice for the answer to a request."""
    frame = case_frame(request.user, case_id, current="court", act=Act.HANDLE_REQUEST)
    asked = queries.request_of(case_id, request_id)
    initial = {"billed_to": asked.party, "address": asked.contact}
    form = InvoiceForm(request.POST or None, initial=initial, fees=queries.fees())
    keys = {"case_id": case_id, "request_id": request_id}
    saved = submitted(request, form, fees.issue_invoice, **keys)
    if saved:
        return answer_done(request, f"{saved}: {saved.money}.", PAGE, **keys)
    return answer_form(request, "court/invoice_form.html", {"frame": frame, "asked": asked}, form)


def _payment(sent: Any, record: Invoice) -> PaymentForm:
    initial = {"paid_on": record.paid_on or timezone.localdate(), "paid_how": record.paid_how,
               "paid_note": record.paid_note}  # fmt: skip
    return PaymentForm(sent, record=record, initial=initial)


@require_http_methods(["GET", "POST"])
def pay(request: StaffRequest, case_id: UUID, request_id: UUID, record_id: UUID) -> HttpResponse:
    """Record that an invoice was paid."""
    frame = case_frame(request.user, case_id, current="court", act=Act.HANDLE_REQUEST)
    asked = queries.request_of(case_id, request_id)
    invoice = queries.invoice_of(asked, record_id)
    form = _payment(request.POST or None, record=invoice)
    keys = {"case_id": case_id, "request_id": request_id}
    if submitted(request, form, fees.record_payment, **keys, record_id=record_id):
        return answer_done(request, f"Paid: {invoice}.", PAGE, **keys)
    context = {"frame": frame, "asked": asked, "invoice": invoice}
    return answer_form(request, "court/invoice_pay.html", context, form)


def _confirming(
    action: Callable[..., Invoice], act: str, sentence: str, done: str, *, stop: bool
) -> Callable[..., HttpResponse]:
    """Return the page on which something is done with an invoice, with the reason."""

    @require_http_methods(["GET", "POST"])
    def confirm(request: StaffRequest, case_id: UUID, **keys: UUID) -> HttpResponse:
        frame = case_frame(request.user, case_id, current="court", act=Act.HANDLE_REQUEST)
        asked = queries.request_of(case_id, keys["request_id"])
        invoice = queries.invoice_of(asked, keys["record_id"])
        said = Confirmation(
            f"{act} {invoice.number}",
            sentence,
            f"{act} it",
            back=reverse(PAGE, args=[case_id, asked.pk]),
            done=f"{done}: {invoice}.",
            intro=f"{invoice.money}, {invoice.billed_to}. {asked.title}.",
            stop=stop,
        )
        return confirming(request, invoice, action, said, frame=frame, case_id=case_id, **keys)

    return confirm


waive = _confirming(
    fees.waive_invoice, "Waive",
    "The invoice need not be paid. It stays kept with your reason.", "Waived", stop=False,
)  # fmt: skip
withdraw = _confirming(
    fees.withdraw_invoice, "Withdraw",
    "The invoice will be withdrawn: it stays kept, and its number is not given again. Tell whoever "
    "has it.", "Withdrawn", stop=True,
)  # fmt: skip


@require_safe
def invoice_file(
    request: StaffRequest, case_id: UUID, request_id: UUID, record_id: UUID
) -> HttpResponseBase:
    """Send an invoice as it was sent; that it was fetched is noted."""
    case_for(request.user, Act.SEE, case_id)
    one = queries.invoice_of(queries.request_of(case_id, request_id), record_id)
    return hand_over(
        request, one.file, case_id=case_id, record_id=one.pk, what="invoice",
        filename=f"invoice-{one.number}.pdf",
    )  # fmt: skip
