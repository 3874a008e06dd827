"""Pages of receipts: items handed to an agency, the receipt to print, and its withdrawal."""

from __future__ import annotations

from uuid import UUID

from django.http import HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone
from django.utils.text import slugify
from django.views.decorators.http import require_GET, require_http_methods

from cases.access import Act, case_for, may
from cases.course import case_frame
from cases.views.confirming import confirms
from evidence.custody import handing, receipts
from evidence.custody.models import AgencyReceipt
from evidence.custody.printing import described, print_receipt, seal_words, what_it_is
from evidence.custody.queries import custody_by_item
from evidence.custody.receipt_forms import HandToAgencyForm
from evidence.items.pages import Withdrawal
from me_office.accounts.requests import StaffRequest
from me_office.audit.actions import note_access
from me_office.shell.exports import shown_pdf
from me_office.shell.forms import answer_done, answer_form, submitted

STEP = "specimens"


@require_http_methods(["GET", "POST"])
def hand_over(request: StaffRequest, case_id: UUID) -> HttpResponse:
    """Hand items to an agency against a receipt."""
    frame = case_frame(request.user, case_id, current=STEP, act=Act.TRANSFER_ITEM)
    held = receipts.may_be_handed_over(frame.case)
    start = {"at": timezone.now(), "purpose": "investigation"}
    form = HandToAgencyForm(request.POST or None, initial=start, held=held)
    saved = submitted(request, form, handing.hand_to_agency, case_id=case_id)
    if saved:
        words = f"Receipt {saved.number} recorded. Print it to be signed."
        return answer_done(request, words, "custody:receipt", case_id=case_id, receipt_id=saved.pk)
    return answer_form(request, "custody/hand_over.html", {"frame": frame, "held": held}, form)


@require_GET
def receipt(request: StaffRequest, case_id: UUID, receipt_id: UUID) -> HttpResponse:
    """Show one receipt with its items."""
    frame = case_frame(request.user, case_id, current=STEP)
    shown = receipts.receipt_of(frame.case, receipt_id)
    lines = receipts.lines_of(shown)
    custody = custody_by_item([line.item for line in lines])
    context = {
        "frame": frame,
        "receipt": shown,
        "lines": [
            (line, what_it_is(line.item), described(line.item),
             seal_words(line, custody[line.item_id]))
            for line in lines
        ],
        "may_change": may(request.user, Act.TRANSFER_ITEM, frame.case) and not shown.is_voided,
    }  # fmt: skip
    return render(request, "custody/receipt.html", context)


@require_GET
def receipt_pdf(request: StaffRequest, case_id: UUID, receipt_id: UUID) -> HttpResponse:
    """Answer with the receipt as PDF; that it was printed is noted."""
    case = case_for(request.user, Act.SEE, case_id)
    shown = receipts.receipt_of(case, receipt_id)
    lines = receipts.lines_of(shown)
    note_access(request.user, case_id=case.pk, what="receipt", record_id=shown.pk)
    custody = custody_by_item([line.item for line in lines])
    printed = print_receipt(shown, lines, custody, at=timezone.now())
    return shown_pdf(printed.pdf, f"receipt-{slugify(case.label)}-{shown.number}")


@confirms(STEP, Act.TRANSFER_ITEM, receipts.receipt_of, handing.void_receipt)
def withdraw_receipt(shown: AgencyReceipt) -> Withdrawal:
    """Withdraw a receipt for what was not handed over."""
    keys = {"case_id": shown.case_id, "receipt_id": shown.pk}
    return Withdrawal(
        f"Withdraw receipt {shown.number}",
        f"Receipt {shown.number} to {shown.agency} will no longer count, and the items are again "
        "with whoever held them before. The receipt and its transfers stay on record as withdrawn. "
        "If an item came back, do not withdraw: record its return.",
        "Withdraw it",
        back=reverse("custody:receipt", kwargs=keys),
    )
