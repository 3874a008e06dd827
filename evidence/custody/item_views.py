"""The pages that every kind of item has: what is said of it corrected, and it withdrawn."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any
from uuid import UUID

from django.http import HttpResponse
from django.urls import reverse
from django.views.decorators.http import require_http_methods

from cases.access import Act
from cases.course import case_frame
from cases.models import Case
from cases.views.confirming import confirms
from evidence.custody.queries import custody_of
from evidence.items.pages import Withdrawal
from me_office.accounts.requests import StaffRequest
from me_office.shell.forms import RecordForm, answer_done, answer_form, submitted

STEP = "specimens"


@dataclass(frozen=True)
class ItemKind:
    """A kind of item, and how its pages speak of it."""

    act: Act
    key: str
    """Names the record in addresses and to its actions."""
    one: Callable[[Case, UUID], Any]
    page: str
    """The address's name of the page that lists them."""
    withdraw: Callable[..., object]
    withdrawn: Callable[[Any], str] = lambda record: (
        f"Item {record.item.number}, {record.item.title}, will no longer count in this case. Its "
        "number is not used again, and its seals and transfers stay on record."
    )
    button: str = "Withdraw the item"


def recording(
    kind: ItemKind, record: Callable[..., Any], begun: Callable[[StaffRequest, Case], RecordForm],
    template: str, *, done: str = "recorded and sealed.",
) -> Callable[..., HttpResponse]:  # fmt: skip
    """Return the view on which such an item is recorded; `begun` makes its form."""

    @require_http_methods(["GET", "POST"])
    def add(request: StaffRequest, case_id: UUID) -> HttpResponse:
        frame = case_frame(request.user, case_id, current=STEP, act=kind.act)
        form = begun(request, frame.case)
        saved = submitted(request, form, record, case_id=case_id)
        if saved:
            return answer_done(
                request, f"Item {saved.item.number} {done}", kind.page, case_id=case_id
            )
        return answer_form(request, template, {"frame": frame}, form)

    return add


def correcting(
    kind: ItemKind, describe: Callable[..., Any], form_class: type[RecordForm], template: str,
    shown_as: str,
) -> Callable[..., HttpResponse]:  # fmt: skip
    """Return the view on which what is said of such an item is corrected."""

    @require_http_methods(["GET", "POST"])
    def correct(request: StaffRequest, case_id: UUID, **key: UUID) -> HttpResponse:
        frame = case_frame(request.user, case_id, current=STEP, act=kind.act)
        record = kind.one(frame.case, key[kind.key])
        form = form_class(request.POST or None, instance=record)
        saved = submitted(request, form, describe, case_id=case_id, **key)
        if saved:
            return answer_done(
                request, f"Item {saved.item.number} saved.", kind.page, case_id=case_id
            )
        context = {"frame": frame, shown_as: record, "custody": custody_of(record.item)}
        return answer_form(request, template, context, form)

    return correct


def withdrawal(kind: ItemKind) -> Callable[..., HttpResponse]:
    """Return the view on which such an item is withdrawn; seals and transfers stay on record."""

    @confirms(STEP, kind.act, kind.one, kind.withdraw)
    def withdraw(record: Any) -> Withdrawal:
        number, back = record.item.number, reverse(kind.page, kwargs={"case_id": record.case_id})
        title, done = f"Withdraw item {number}", f"Item {number} withdrawn."
        return Withdrawal(title, kind.withdrawn(record), kind.button, back, done)

    return withdraw
