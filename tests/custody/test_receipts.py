"""Items handed to the police or another agency against a receipt; the race for one."""

from __future__ import annotations

import io
import json
from datetime import timedelta
from itertools import count

import pikepdf
import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from cases.models import Case
from cases.rules.case import CaseState
from evidence.custody import actions, handing, queries, receipts, rules
from evidence.custody.models import AgencyReceipt, CustodyState, Transfer
from evidence.items.models import Item
from me_office.accounts.roles import Role
from me_office.audit.errors import Conflict, NotAllowed, NotKnown, Refused, StaleRecord
from me_office.audit.ids import new_id
from me_office.audit.models import AuditEvent
from tests.builders import MOMENT, make_case, make_staff
from tests.evidence.items import fill_with_specimens, take
from tests.evidence.pictures import add, picture_bytes
from tests.evidence.things import BULLET, CASH, RING, keep
from tests.packets.reading import squeezed, text_of

NEXT = count(1)
LATER = MOMENT + timedelta(hours=2)
ENTRY = {
    "agency": "Tarn County Sheriff",
    "received_by": "Det. M. Arkwright",
    "identification": "Badge 311",
    "agency_case_number": "TC-26-0815",
    "second_person": "",
    "at": LATER,
    "place": "Evidence room",
    "purpose": "firearms examination",
}


def hand(actor, *things, record_id=None, versions=None, **fields):
    items = [Item.objects.get(pk=one.item_id) for one in things]
    return handing.hand_to_agency(
        actor,
        case_id=things[0].case_id,
        record_id=record_id or new_id(),
        items=versions or [(item.pk, item.version) for item in items],
        entry={**ENTRY, **fields},
    )


def custody(thing):
    return queries.item_custody(thing.case, thing.item_id)


def test_items_pass_at_once_and_the_offices_custody_ends(renn):
    case = make_case()
    bullet, ring = keep(renn, case, BULLET), keep(renn, case, RING, seal_number="TC 2")
    receipt = hand(renn, bullet, ring)
    assert (receipt.number, receipt.given_by) == (1, renn)
    for thing in (bullet, ring):
        now = custody(thing)
        assert now.chain.holder == "Det. M. Arkwright, Tarn County Sheriff"
        assert now.chain.unbroken
        assert now.receipt == receipt
        assert now.transfers[-1].from_party == "Specimen refrigerator 2"
        assert now.transfers[-1].seal_state == "intact"
        standing = CustodyState.objects.get(item=thing.item_id)
        assert standing.left_office
        assert standing.held_by == "Det. M. Arkwright, Tarn County Sheriff"
    assert receipts.may_be_handed_over(case) == []
    event = AuditEvent.objects.get(table="custody_agencyreceipt")
    assert (event.act, event.actor_id) == ("hand_to_agency", renn.pk)


def test_only_its_return_is_recorded_afterward(renn):
    bullet = keep(renn, make_case(), BULLET)
    hand(renn, bullet)
    keys = {"case_id": bullet.case_id, "item_id": bullet.item_id, "version": 3}
    move = {"at": LATER + timedelta(days=9), "place": "Desk", "purpose": "return",
            "seal_state": "intact"}  # fmt: skip
    keys["version"] = Item.objects.get(pk=bullet.item_id).version
    with pytest.raises(Refused, match="custody of this item ended"):
        actions.record_transfer(
            renn, **keys, record_id=new_id(), entry={**move, "to_party": "State laboratory"}
        )
    with pytest.raises(Refused, match="already handed over"):
        hand(renn, bullet, at=LATER + timedelta(hours=1))
    actions.record_transfer(renn, **keys, record_id=new_id(), entry={**move, "to_staff": renn})
    assert custody(bullet).receipt is None
    assert custody(bullet).chain.unbroken
    assert not CustodyState.objects.get(item=bullet.item_id).left_office


def test_the_same_request_twice_is_one_receipt_and_other_items_a_conflict(renn):
    case, key = make_case(), new_id()
    bullet, ring = keep(renn, case, BULLET), keep(renn, case, RING, seal_number="TC 2")
    first = hand(renn, bullet, record_id=key)
    assert hand(renn, bullet, record_id=key).pk == first.pk
    assert (AgencyReceipt.objects.count(), Transfer.objects.filter(receipt=first).count()) == (1, 1)
    with pytest.raises(Conflict):
        hand(renn, bullet, ring, record_id=key)
    with pytest.raises(Conflict):
        hand(renn, bullet, record_id=key, identification="none")


@pytest.mark.parametrize(
    ("fields", "field"),
    [
        ({"agency": " "}, "agency"),
        ({"received_by": ""}, "received_by"),
        ({"identification": ""}, "identification"),
        ({"place": ""}, "place"),
        ({"purpose": ""}, "purpose"),
        ({"at": None}, "at"),
        ({"at": MOMENT}, "at"),
        ({"second_person": "d renn"}, "second_person"),
        ({"second_person": "Det M Arkwright"}, "second_person"),
    ],
)
def test_a_receipt_that_lacks_something_hands_over_nothing(renn, fields, field):
    bullet = keep(renn, make_case(), BULLET)
    with pytest.raises(Exception) as refused:
        hand(renn, bullet, **fields)
    error = refused.value
    assert field in (getattr(error, "errors", None) or {error.field: ""})
    assert not AgencyReceipt.objects.exists()
    assert Transfer.objects.count() == 1


def test_what_cannot_be_handed_over_hands_over_nothing_with_it(renn):
    case = make_case()
    bullet = keep(renn, case, BULLET)
    photograph = add(renn, case, picture_bytes())
    elsewhere = keep(renn, make_case(), RING, seal_number="TC 9")
    with pytest.raises(Refused, match="Photographs stay"):
        hand(renn, bullet, photograph)
    with pytest.raises(NotKnown):
        hand(renn, bullet, elsewhere)
    with pytest.raises(StaleRecord):
        hand(renn, bullet, versions=[(bullet.item_id, 7)])
    with pytest.raises(Refused, match="at least one"):
        handing.hand_to_agency(renn, case_id=case.pk, record_id=new_id(), items=[], entry=ENTRY)
    assert not AgencyReceipt.objects.exists()


def test_cash_is_given_by_two_people(renn):
    case = make_case()
    notes = keep(renn, case, CASH)
    with pytest.raises(Refused) as refused:
        hand(renn, notes)
    assert refused.value.field == "second_person"
    assert hand(renn, notes, second_person="L. Quill").second_person == "L. Quill"


def test_rules_of_the_second_person():
    people = {"given_by": "D. Renn", "received_by": "M. Arkwright"}
    rules.check_receipt(cash=False, second_person="", **people)
    rules.check_receipt(cash=True, second_person="L. Quill", **people)
    for cash, second in ((True, ""), (True, " "), (False, "D. Renn"), (True, "m. arkwright")):
        with pytest.raises(Refused):
            rules.check_receipt(cash=cash, second_person=second, **people)


def test_a_withdrawn_receipt_gives_the_items_back(renn):
    bullet = keep(renn, make_case(), BULLET)
    receipt = hand(renn, bullet)
    line = Transfer.objects.get(receipt=receipt)
    with pytest.raises(Refused, match="withdraw the receipt"):
        actions.void_transfer(
            renn, case_id=bullet.case_id, transfer_id=line.pk, version=1, reason="wrong"
        )
    one = {"case_id": bullet.case_id, "receipt_id": receipt.pk}
    with pytest.raises(Refused, match="Say why"):
        handing.void_receipt(renn, **one, version=1, reason=" ")
    handing.void_receipt(renn, **one, version=1, reason="the officer did not come")
    assert custody(bullet).chain.holder == "Specimen refrigerator 2"
    assert custody(bullet).receipt is None
    assert not CustodyState.objects.get(item=bullet.item_id).left_office
    assert hand(renn, bullet).number == 2


def test_handing_over_goes_on_after_the_signature_and_not_by_strangers(renn):
    bullet = keep(renn, make_case(), BULLET)
    for state, person, allowed in (
        (CaseState.DECLINED, renn, False),
        (CaseState.SIGNED, make_staff(Role.ADMINISTRATOR), False),
        (CaseState.SIGNED, renn, True),
    ):
        type(bullet.case).objects.filter(pk=bullet.case_id).update(
            state=state, signed_at=LATER if state is CaseState.SIGNED else None
        )
        if allowed:
            assert hand(person, bullet).number == 1
        else:
            with pytest.raises((NotAllowed, NotKnown)):
                hand(person, bullet)


def test_the_pages_hand_over_and_print(client, renn):
    case = make_case()
    bullet = keep(renn, case, {**BULLET, "description": "Projectile [a] #b"})
    notes = keep(renn, case, CASH, seal_number="TC 2")
    client.force_login(renn)
    page = reverse("custody:hand-over", kwargs={"case_id": case.pk})
    assert client.get(page).status_code == 200
    form = {
        **ENTRY, "record_id": str(new_id()), "version": "0", "at": "2026-11-14T12:00",
        "items": [f"{one.item_id}:{one.item.version}" for one in (bullet, notes)],
    }  # fmt: skip
    lone = client.post(page, form)
    assert lone.status_code == 422
    assert "second_person" in lone.context["form"].errors
    stale = [f"{bullet.item_id}:7"]
    assert client.post(page, {**form, "items": stale}).status_code == 409
    assert client.post(page, {**form, "items": ["junk"]}).status_code == 422
    made = client.post(page, {**form, "second_person": "L. Quill"})
    assert made.status_code == 302
    receipt = AgencyReceipt.objects.get()
    shown = client.get(made.url).content.decode()
    assert "Ammunition component or projectile (evidence)" in shown
    assert "USD 65.00 (3 x 20.00, 1 x 5.00)" in shown

    printed = client.get(f"{made.url}receipt.pdf")
    text = squeezed(text_of(pikepdf.open(io.BytesIO(printed.content))))
    for words in ("Receipt 1", "Det. M. Arkwright", "Badge 311", "TC-26-0815", "TC 0417, intact",
                  "Projectile [a] #b", "L. Quill"):  # fmt: skip
        assert squeezed(words) in text
    listed = client.get(reverse("custody:case", kwargs={"case_id": case.pk})).content.decode()
    assert "Receipt 1, Tarn County Sheriff" in listed
    item = reverse("custody:item", kwargs={"case_id": case.pk, "item_id": bullet.item_id})
    assert "Record its return" in client.get(item).content.decode()
    leave = reverse(
        "custody:receipt-withdraw", kwargs={"case_id": case.pk, "receipt_id": receipt.pk}
    )
    assert client.post(leave, {"version": "1", "reason": "not fetched"}).status_code == 302


def test_the_api_hands_over_and_withdraws(client, renn):
    bullet = keep(renn, make_case(), BULLET)
    client.force_login(renn)
    root = f"/api/cases/{bullet.case_id}/receipts/"
    body = {**ENTRY, "id": str(new_id()), "at": LATER.isoformat(),
            "items": [{"id": str(bullet.item_id), "version": bullet.item.version}]}  # fmt: skip
    made = client.post(root, json.dumps(body), "application/json")
    assert made.status_code == 201, made.content
    assert client.post(root, json.dumps(body), "application/json").json() == made.json()
    assert [each["number"] for each in client.get(root).json()] == [1]
    leave = json.dumps({"version": 1, "reason": "not fetched"})
    gone = client.post(f"{root}{made.json()['id']}/void/", leave, "application/json")
    assert gone.status_code == 200
    assert gone.json()["voided_at"]


def test_the_form_of_sixty_items_reads_as_often_as_of_three(client, renn):
    vasko = make_staff(Role.PATHOLOGIST)
    client.force_login(renn)
    counted = []
    for how_many in (3, 60):
        case = make_case()
        fill_with_specimens(vasko, case, how_many)
        page = reverse("custody:hand-over", kwargs={"case_id": case.pk})
        client.get(page)
        with CaptureQueriesContext(connection) as statements:
            assert client.get(page).status_code == 200
        counted.append(len(statements))
    assert counted[0] == counted[1]


def race(at_once, thing, people, keys):
    return at_once(
        handing.hand_to_agency,
        by=people,
        each=[
            {"record_id": key, "entry": {**ENTRY, "at": LATER + timedelta(minutes=minutes)}}
            for minutes, key in enumerate(keys)
        ],
        meet_after="evidence.custody.queries.chain_parts",
        case_id=thing.case_id,
        items=[(thing.item_id, thing.item.version)],
    )


def raced(at_once):
    people = [make_staff(Role.INVESTIGATOR, name=name) for name in ("L. Quill", "P. Sedge")]
    thing = take(make_staff(Role.PATHOLOGIST, name="Dr. I. Vasko"), make_case())
    outcomes = race(at_once, thing, people, [new_id(), new_id()])
    return thing, sorted(outcome.code for outcome in outcomes)


def test_two_people_cannot_both_hand_over_the_same_item(at_once):
    thing, codes = raced(at_once)
    assert codes == ["done", "stale"]
    assert AgencyReceipt.objects.count() == 1
    assert len(custody(thing).transfers) == 2


def test_without_the_guard_both_would_hand_it_over(at_once, monkeypatch):
    """The control: the race is seen when locks and version check are removed."""
    monkeypatch.setattr("cases.queries.case_for_update", lambda key: Case.objects.get(pk=key))
    monkeypatch.setattr(
        receipts,
        "items_for_update",
        lambda case, keys: {item.pk: item for item in Item.objects.filter(pk__in=keys)},
    )
    monkeypatch.setattr(handing, "require_version", lambda record, version: None)
    monkeypatch.setattr(handing, "_next_number", lambda case: next(NEXT))
    thing, codes = raced(at_once)
    assert codes == ["done", "done"]
    assert len(custody(thing).transfers) == 3


def test_many_that_are_alike_are_handed_over_by_one_tick_and_each_is_recorded(client, renn):
    vasko, case = make_staff(Role.PATHOLOGIST), make_case()
    fill_with_specimens(vasko, case, 3)
    rings = [keep(renn, case, RING, seal_number=f"R {n}") for n in (1, 2)]
    client.force_login(renn)
    page = reverse("custody:hand-over", args=[case.pk])
    groups = client.get(page).context["form"].groups
    blood, *single = groups
    assert blood.title == "Blood, in Gray-top tube, for toxicology"
    assert [len(one.boxes) for one in groups] == [3, 1, 1]
    assert [one.together for one in single] == ["", ""]
    shown = client.get(page).content.decode()
    assert "All 3: Blood, in Gray-top tube" in shown and "All 2" not in shown
    sent = {**ENTRY, "at": "2026-11-14T12:00", "record_id": str(new_id()), "items": blood.together}
    again = client.post(page, {**sent, "agency": ""})
    assert again.status_code == 422
    assert [one.checked for one in again.context["form"].groups] == [True, False, False]
    assert client.post(page, sent).status_code == 302
    given = Transfer.objects.filter(receipt__isnull=False)
    assert sorted(given.values_list("item__number", flat=True)) == [1, 2, 3]
    # A tick stands for what was read: an item that moved since, or a part of another value, is no
    # silent addition.
    left = client.get(page).context["form"]
    assert {str(one.item_id) for one in rings} == {v[0][:36] for v in left.fields["items"].choices}
    both = "\t".join(value for value, _ in left.fields["items"].choices)
    for wrong in (both.replace(":1", ":7"), f"{both}\tx", both.replace("\t", " ")):
        refused = client.post(page, {**sent, "record_id": str(new_id()), "items": wrong})
        assert refused.status_code in {409, 422}, wrong
    assert given.count() == 3
