"""Pages of custody."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any
from uuid import UUID

from django.http import HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods

from cases.access import Act, decision_on, may
from cases.course import CaseFrame, case_frame
from cases.models import Case
from evidence.custody import actions, queries
from evidence.custody.forms import BreakSealForm, SealForm, TransferForm
from evidence.custody.queries import ItemCustody
from evidence.custody.receipts import receipts_of
from evidence.items.models import Item
from evidence.items.pages import Withdrawal
from me_office.accounts.requests import StaffRequest
from me_office.shell.confirming import confirming
from me_office.shell.forms import answer_done, answer_form, submitted

STEP = "specimens"


@require_GET
def case(request: StaffRequest, case_id: UUID) -> HttpResponse:
    """Show every item of a case with its seal, its hands and its gaps."""
    frame = case_frame(request.user, case_id, current=STEP)
    items = queries.custody_record(frame.case)
    asked = request.GET.get("kind", "")
    wanted = ["", *(kind for kind, _ in Item.KINDS), "unsealed", "gaps"]
    asked = asked if asked in wanted else ""
    words = {
        "": "all",
        "photograph": "photographs",
        "specimen": "specimens",
        "kit": "kits and trays",
        "property": "personal effects",
        "gaps": "with a gap",
    }
    context = {
        "frame": frame,
        "items": items,
        "receipts": receipts_of(frame.case),
        "may_change": may(request.user, Act.TRANSFER_ITEM, frame.case),
        "shown": [each for each in items if _fits(each, asked)],
        "with_gaps": sum(_fits(each, "gaps") for each in items),
        "choices": [
            {
                "words": words.get(key, key),
                "url": f"?kind={key}" if key else "?",
                "chosen": key == asked,
            }
            for key in wanted
        ],
    }
    return render(request, "custody/case.html", context)


def _fits(custody: ItemCustody, asked: str) -> bool:
    if asked in {"unsealed", "gaps"} and custody.item.is_voided:
        return False
    if asked == "unsealed":
        return custody.closing_seal is None
    if asked == "gaps":
        return bool(custody.chain.gaps)
    return not asked or custody.item.kind == asked


@require_GET
def item(request: StaffRequest, case_id: UUID, item_id: UUID) -> HttpResponse:
    """Show one item's seals and transfers as a time line."""
    frame = case_frame(request.user, case_id, current=STEP)
    custody = queries.item_custody(frame.case, item_id)
    decision = decision_on(request.user, Act.TRANSFER_ITEM, frame.case)
    context = {
        "frame": frame,
        "item": custody.item,
        "custody": custody,
        "may_change": decision.allowed and not custody.item.is_voided,
        "parts": queries.parts_of(custody.item) if custody.item.kind == "kit" else [],
        "why_locked": decision.why,
    }
    return render(request, "custody/item.html", context)


@dataclass(frozen=True)
class ItemAct:
    """Something that is done to an item, and how its page speaks of it."""

    form: type[TransferForm] | type[SealForm]
    action: Callable[..., object]
    start: Callable[[StaffRequest, ItemCustody], dict[str, object]]
    title: str
    button: str
    done: Callable[[Any, ItemCustody], str]


ITEM_ACTS = {
    "transfer": ItemAct(
        TransferForm,
        actions.record_transfer,
        lambda request, custody: {
            "from_party": custody.chain.holder,
            "at": timezone.now(),
            "seal_state": "intact" if custody.closing_seal else "none",
        },
        "Record a transfer",
        "Record the transfer",
        lambda saved, custody: f"Item {custody.item.number} is with {saved.to_party}.",
    ),
    "seal": ItemAct(
        SealForm,
        actions.apply_seal,
        lambda request, custody: {
            "applied_at": timezone.now(),
            "applied_by": str(request.user),
        },
        "Apply a seal",
        "Apply the seal",
        lambda saved, custody: f"Item {custody.item.number} closed under {saved.number}.",
    ),
}


@require_http_methods(["GET", "POST"])
def act_on_item(request: StaffRequest, case_id: UUID, item_id: UUID, act: str) -> HttpResponse:
    """Record that an item passes on, or close it under a numbered seal."""
    of = ITEM_ACTS[act]
    frame = case_frame(request.user, case_id, current=STEP, act=Act.TRANSFER_ITEM)
    custody = queries.item_custody(frame.case, item_id)
    start = {**of.start(request, custody), "version": custody.item.version}
    form = of.form(request.POST or None, initial=start)
    saved = submitted(request, form, of.action, case_id=case_id, item_id=item_id)
    if saved:
        return answer_done(
            request, of.done(saved, custody), "custody:item", case_id=case_id, item_id=item_id
        )
    context = _form_context(frame, custody, title=of.title, act=of.button)
    return answer_form(request, "custody/change.html", context, form)


@require_http_methods(["GET", "POST"])
def break_seal(request: StaffRequest, case_id: UUID, seal_id: UUID) -> HttpResponse:
    """Record who broke a seal, when and why."""
    frame = case_frame(request.user, case_id, current=STEP, act=Act.TRANSFER_ITEM)
    shown = queries.seal_of(frame.case, seal_id)
    custody = queries.item_custody(frame.case, shown.item_id)
    start = {"broken_at": timezone.now(), "broken_by": str(request.user)}
    form = BreakSealForm(request.POST or None, initial=start, record=shown)
    saved = submitted(request, form, actions.break_seal, case_id=case_id, seal_id=seal_id)
    if saved:
        said = f"Seal {saved.number} is recorded as broken."
        return answer_done(request, said, "custody:item", case_id=case_id, item_id=shown.item_id)
    title = f"Record that seal {shown.number} was broken"
    context = _form_context(frame, custody, title=title, act="Record it")
    return answer_form(request, "custody/change.html", context, form)


@dataclass(frozen=True)
class Entry:
    """What can be withdrawn from a custody record, and what the page says of it."""

    one: Callable[[Case, UUID], Any]
    withdraw: Callable[..., object]
    title: Callable[[Any], str]
    sentence: Callable[[Any], str]


ENTRIES = {
    "transfer": Entry(
        queries.transfer_of,
        actions.void_transfer,
        lambda transfer: "Withdraw a transfer",
        lambda transfer: (
            f"The transfer from {transfer.from_party} to {transfer.to_party} will no longer "
            "count. It stays on record as withdrawn, and a gap that it leaves in the chain is "
            "shown."
        ),
    ),
    "seal": Entry(
        queries.seal_of,
        actions.void_seal,
        lambda seal: f"Withdraw seal {seal.number}",
        lambda seal: (
            f"Seal {seal.number} will no longer count. It stays on record as withdrawn. "
            "If the seal was opened, do not withdraw it: record that it was broken."
        ),
    ),
}


@require_http_methods(["GET", "POST"])
def withdraw_entry(request: StaffRequest, case_id: UUID, entry: str, **key: Any) -> HttpResponse:
    """Withdraw a transfer that did not happen as recorded, or a seal that was entered wrongly."""
    of = ENTRIES[entry]
    frame = case_frame(request.user, case_id, current=STEP, act=Act.TRANSFER_ITEM)
    shown = of.one(frame.case, key[f"{entry}_id"])
    back = _item_url(frame, shown.item_id)
    said = Withdrawal(of.title(shown), of.sentence(shown), "Withdraw it", back=back)
    return confirming(request, shown, of.withdraw, said, frame=frame, case_id=case_id, **key)


def _item_url(frame: CaseFrame, item_id: UUID) -> str:
    return reverse("custody:item", kwargs={"case_id": frame.case.pk, "item_id": item_id})


def _form_context(
    frame: CaseFrame, custody: ItemCustody, *, title: str, act: str
) -> dict[str, object]:
    return {
        "frame": frame,
        "custody": custody,
        "title": title,
        "intro": f"Item {custody.item.number}, {custody.item.title}",
        "act": act,
        "back": _item_url(frame, custody.item.pk),
    }
