"""Fees of the office, invoices of a request, and what happened to it."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from cases.court.fees import (
    issue_invoice,
    record_fee,
    record_payment,
    waive_invoice,
    withdraw_fee,
    withdraw_invoice,
)
from cases.court.models import FeeRule, Invoice, RequestCase
from cases.court.timeline import time_line
from evidence import store
from me_office.accounts.roles import Role
from me_office.audit.errors import Conflict, Invalid, NotAllowed, NotKnown, Refused, StaleRecord
from me_office.audit.ids import new_id
from tests.builders import make_case, make_staff
from tests.court.builders import counsel, demand, fee, invoice, keys_of, url
from tests.packets.builders import make_clerk, make_request

pytestmark = pytest.mark.django_db


def test_the_offices_fees_are_kept_by_clerks_with_reasons(signed_in, clerk):
    with pytest.raises(NotKnown, match=r"^There is no such fee\.$"):
        withdraw_fee(clerk, record_id=new_id(), version=1, reason="Not charged any more")
    with pytest.raises(NotAllowed):
        fee(make_staff(Role.PATHOLOGIST))
    with pytest.raises(Invalid) as wrong:
        fee(clerk, amount=Decimal("-1"), currency="dollars")
    assert set(wrong.value.errors) & {"amount"}
    sent = {"record_id": str(new_id()), "version": "0", "name": "File", "unit": "file",
            "amount": "0.18", "currency": "USD"}  # fmt: skip
    for _ in range(2):
        assert signed_in.post(reverse("court:add-fee"), sent).status_code == 302
    one = FeeRule.objects.get()
    again = signed_in.post(reverse("court:add-fee"), sent | {"record_id": str(new_id())})
    assert "already" in again.content.decode()
    change = reverse("court:change-fee", args=[one.pk])
    later = sent | {"version": "1", "amount": "0.20"}
    assert set(signed_in.post(change, later).context["form"].errors) == {"reason"}
    assert signed_in.post(change, later | {"reason": "new schedule"}).status_code == 302
    assert "$0.20 a file" in signed_in.get(reverse("court:fees")).content.decode()
    gone = reverse("court:withdraw-fee", args=[one.pk])
    assert signed_in.post(gone, {"version": "1", "reason": "no longer"}).status_code == 409
    assert signed_in.post(gone, {"version": "2", "reason": "no longer"}).status_code == 302
    assert "No fees yet" in signed_in.get(reverse("court:fees")).content.decode()


def test_a_withdrawal_that_is_sent_again_is_said_to_be_saved_to_who_sent_it(signed_in, clerk):
    one = fee(clerk)
    gone = reverse("court:withdraw-fee", args=[one.pk])
    sent = {"version": "1", "reason": "no longer", "request_key": str(new_id())}
    assert signed_in.post(gone, sent).status_code == 302
    at = FeeRule.objects.get().voided_at

    def told(client=signed_in, **other):
        answer = client.post(gone, sent | other)
        assert answer.status_code == 404
        assert not any(name.startswith("saved-") for name in answer.cookies)
        return "This form was sent before and saved" in answer.content.decode()

    assert told()
    # Under its key something was saved, whatever else is sent with it now; what was typed stays.
    assert told(reason="in other words")
    assert not told(request_key=str(new_id()))
    assert not told(request_key="")
    someone = Client()
    someone.force_login(make_clerk())
    assert not told(someone)
    assert FeeRule.objects.get().voided_at == at
    assert signed_in.get(gone).context["saved_at"] is None


def test_an_invoice_is_numbered_printed_kept_paid_or_waived(signed_in, clerk):
    asked = make_request(make_case(state="signed"), clerk)
    pages, files = fee(clerk), fee(clerk, name="File", unit="file", amount=Decimal("0.18"))
    sent = {
        "record_id": str(new_id()),
        "billed_to": "Office of the county attorney",
        f"quantity_{pages.pk}": "300",
        f"quantity_{files.pk}": "1.5",
    }
    wrong = signed_in.post(url("issue-invoice", asked), sent)
    assert set(wrong.context["form"].errors) == {f"quantity_{files.pk}"}
    sent[f"quantity_{files.pk}"] = "107"
    for _ in range(2):
        assert signed_in.post(url("issue-invoice", asked), sent).status_code == 302
    made = Invoice.objects.get()
    year = timezone.localdate().year
    assert (made.number, made.total, made.money) == (f"F-{year}-0001", Decimal("64.26"), "$64.26")
    with store.open_stored(made.file) as kept:
        assert kept.read(5) == b"%PDF-"
    page = signed_in.get(url("request", asked)).content.decode()
    assert "300 pages, 107 files: $64.26" in page
    # A fee that changes later changes no invoice.
    record_fee(clerk, record_id=pages.pk, version=1, entry={"amount": Decimal("9")}, reason="new")
    made.refresh_from_db()
    assert made.lines[0]["each"] == "0.15"
    pay = url("pay-invoice", asked, record_id=made.pk)
    assert set(signed_in.post(pay, {"version": "1"}).context["form"].errors) == {
        "paid_on", "paid_how",
    }  # fmt: skip
    paid = {"version": "1", "paid_on": timezone.localdate().isoformat(), "paid_how": "check"}
    assert signed_in.post(pay, paid).status_code == 302
    again = signed_in.post(pay, {**paid, "version": "2"})
    assert set(again.context["form"].errors) == {"reason"}, "what was paid is not changed silently"
    keys = {**keys_of(asked), "record_id": made.pk}
    with pytest.raises(Refused, match="paid"):
        waive_invoice(clerk, **keys, version=2, reason="the State")
    with pytest.raises(StaleRecord):
        withdraw_invoice(clerk, **keys, version=1, reason="wrong")
    second = invoice(clerk, asked, {pages: 2})
    assert second.number == f"F-{year}-0002"
    other = {**keys_of(asked), "record_id": second.pk}
    waive_invoice(clerk, **other, version=1, reason="waived for the State")
    with pytest.raises(Refused, match="waived"):
        record_payment(clerk, **other, version=2, entry={})
    assert "waived for the State" in signed_in.get(url("request", asked)).content.decode()
    withdraw_invoice(clerk, **other, version=2, reason="sent to the wrong office")
    third = invoice(clerk, asked, {pages: 2})
    assert third.number == f"F-{year}-0003"


def test_an_invoice_is_refused_by_role_content_and_key(clerk):
    asked = make_request(make_case(), clerk)
    pages = fee(clerk)
    with pytest.raises(NotAllowed):
        invoice(make_staff(Role.PATHOLOGIST), asked, {pages: 1})
    with pytest.raises(Invalid, match="at least one"):
        invoice(clerk, asked, {})
    with pytest.raises(Invalid):
        invoice(clerk, asked, {pages: 0})
    today = timezone.localdate()
    with pytest.raises(Invalid) as over:
        invoice(clerk, asked, {pages: 1}, pay_by=today - timedelta(days=1))
    assert over.value.errors == {"pay_by": ["This day is over."]}
    assert invoice(clerk, asked, {pages: 1}, pay_by=today).pay_by == today
    foreign = fee(clerk, name="Copy abroad", currency="CAD")
    with pytest.raises(Invalid, match="one currency"):
        invoice(clerk, asked, {pages: 1, foreign: 1})
    key = new_id()
    first = invoice(clerk, asked, {pages: 1}, record_id=key)
    assert invoice(clerk, asked, {pages: 1}, record_id=key).pk == first.pk
    with pytest.raises(Conflict):
        invoice(clerk, asked, {pages: 2}, record_id=key)
    with pytest.raises(Conflict):
        invoice(clerk, make_request(asked.case, clerk), {pages: 1}, record_id=key)


@pytest.mark.django_db(transaction=True)
def test_two_invoices_at_once_have_two_numbers(at_once):
    clerk = make_clerk()
    pages = fee(clerk)
    several = [make_request(make_case(), clerk) for _ in range(2)]
    outcomes = at_once(
        issue_invoice,
        by=[clerk, clerk],
        each=[{**keys_of(asked), "record_id": new_id()} for asked in several],
        quantities={str(pages.pk): Decimal(1)},
        entry={"billed_to": "Office of the county attorney"},
        meet_after="cases.court.fees._lines",
    )
    assert [one.code for one in outcomes] == ["done", "done"]
    assert sorted(one.value.number[-4:] for one in outcomes) == ["0001", "0002"]


@pytest.mark.django_db(transaction=True)
def test_what_happened_comes_in_pages_of_whole_acts():
    clerk = make_clerk()
    asked = make_request(make_case(), clerk)
    demand(clerk, asked)
    counsel(clerk, asked)
    page = time_line(clerk, asked, most=2)
    assert len(page.acts) == 2
    rest = time_line(clerk, asked, most=2, before=page.next_before)
    assert [act.what for act in rest.acts] == ["logged a request"]
    assert rest.next_before is None


def test_everything_that_happened_is_told_from_the_trail(signed_in, clerk):
    asked = make_request(make_case(), clerk)
    demand(clerk, asked)
    counsel(clerk, asked)
    told = time_line(clerk, asked)
    assert [act.what for act in told.acts] == [
        "recorded counsel of a request",
        "recorded a demand",
        "logged a request",
    ]
    shown = signed_in.get(url("timeline", asked)).content.decode()
    assert "Recorded a demand" in shown
    hidden = make_case(restricted=True)
    RequestCase.objects.create(case=hidden, request=asked, created_by=clerk, changed_by=clerk)
    assert len(time_line(clerk, asked).acts) == 3

    def statements():
        with CaptureQueriesContext(connection) as seen:
            signed_in.get(url("timeline", asked))
        return len(seen)

    few = statements()
    for _ in range(20):
        demand(clerk, asked)
    # With what the rooms above read for the columns, each once.
    assert statements() == few <= 70
