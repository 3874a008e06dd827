"""What keeps a thing, a kit or a receipt from going on: withdrawn, read late, not theirs."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.urls import reverse

from evidence.custody import actions as custody_actions
from evidence.custody import handing, queries
from evidence.custody.models import AgencyReceipt, Seal, Transfer
from evidence.items import kinds
from evidence.items.models import Item
from evidence.property import actions as property_actions
from evidence.specimens import actions as specimen_actions
from evidence.specimens.models import Specimen
from me_office.accounts.roles import Role
from me_office.audit.errors import Invalid, NotAllowed, NotKnown, Refused, StaleRecord
from me_office.audit.ids import new_id
from tests.builders import make_case, make_staff
from tests.custody.test_receipts import ENTRY, LATER, hand
from tests.evidence.test_kits import SWABS, record
from tests.evidence.test_received import NOW, RECEIVED, TAKEN, receive
from tests.evidence.things import BULLET, RING, keep


def test_a_withdrawn_thing_is_not_handed_over_nor_anything_with_it(renn):
    case = make_case()
    bullet, ring = keep(renn, case, BULLET), keep(renn, case, RING, seal_number="TC 2")
    property_actions.void_property(
        renn, case_id=case.pk, property_id=ring.pk, version=1, reason="entered twice"
    )
    with pytest.raises(Refused, match="was withdrawn") as refused:
        hand(renn, bullet, ring)
    assert refused.value.field == "items"
    assert not AgencyReceipt.objects.exists()
    assert Transfer.objects.count() == 2


def test_a_receipt_is_withdrawn_by_who_may_as_read_and_in_its_own_case(renn):
    bullet = keep(renn, make_case(), BULLET)
    receipt = hand(renn, bullet)
    version = Item.objects.get(pk=bullet.item_id).version
    one = {"case_id": bullet.case_id, "receipt_id": receipt.pk, "version": 1, "reason": "not come"}
    with pytest.raises(StaleRecord):
        handing.void_receipt(renn, **{**one, "version": 2})
    with pytest.raises(NotKnown):
        handing.void_receipt(renn, **{**one, "case_id": make_case().pk})
    with pytest.raises(NotKnown):
        handing.void_receipt(make_staff(Role.ADMINISTRATOR), **one)
    assert not AgencyReceipt.objects.get().is_voided
    handing.void_receipt(renn, **one)
    # Whoever read the item before does not act on it as if nothing had happened.
    assert Item.objects.get(pk=bullet.item_id).version == version + 1
    with pytest.raises(StaleRecord):
        hand(renn, bullet, versions=[(bullet.item_id, version)])


@pytest.mark.parametrize("state", ["intact", "broken"])
def test_a_receipt_says_how_the_seal_stands(renn, state):
    bullet = keep(renn, make_case(), BULLET)
    if state == "broken":
        custody_actions.break_seal(
            renn, case_id=bullet.case_id, seal_id=Seal.objects.get().pk, version=1,
            entry={"broken_at": LATER, "broken_why": "looked at"},
        )  # fmt: skip
    hand(renn, bullet, at=LATER + timedelta(hours=1))
    assert Transfer.objects.order_by("at").last().seal_state == state


def test_a_kit_needs_its_parts_whoever_asks(vasko):
    for parts in ([], [SWABS[0], {**SWABS[1], "label": "1"}]):
        with pytest.raises(Invalid) as refused:
            record(vasko, make_case(), parts)
        assert set(refused.value.errors) == {"parts"}
    assert not Item.objects.exists()


def test_a_kit_is_withdrawn_by_who_may_as_read_after_one_of_its_parts(vasko):
    kit = record(vasko, make_case(), SWABS)
    first = Specimen.objects.order_by("item__number").first()
    specimen_actions.void_specimen(
        vasko, case_id=kit.case_id, specimen_id=first.pk, version=1, reason="not taken"
    )
    assert [item.number for item in queries.parts_of(kit.item)] == [3]
    one = {"case_id": kit.case_id, "kit_id": kit.pk, "version": 1, "reason": "of another case"}
    with pytest.raises(StaleRecord):
        specimen_actions.void_kit(vasko, **{**one, "version": 2})
    with pytest.raises(NotAllowed):
        specimen_actions.void_kit(make_staff(Role.INVESTIGATOR), **one)
    with pytest.raises(NotKnown):
        specimen_actions.void_kit(vasko, **{**one, "case_id": make_case().pk})
    specimen_actions.void_kit(vasko, **one)
    assert not Item.objects.active().exists()
    said = list(Specimen.objects.order_by("item__number").values_list("void_reason", flat=True))
    assert said == ["not taken", "of another case"]


def test_what_came_unsealed_says_so_and_a_number_that_repeats_is_asked_about(renn):
    case = make_case()
    receive(renn, case)
    assert Transfer.objects.get().seal_state == "none"
    with pytest.raises(Invalid) as repeats:
        receive(renn, case)
    assert "seal_number" in repeats.value.errors
    assert Item.objects.count() == 1


@pytest.mark.parametrize(
    "times", [{"received_at": NOW}, {"sealed_at": NOW}, {"received_at": NOW, "sealed_at": None}]
)
def test_this_very_moment_is_not_the_future(times):
    said = {"taken_at": TAKEN, "received_at": RECEIVED, "sealed_at": None, **times}
    kinds.check_received(origin="before death", pronounced_at=None, now=NOW, **said)


def test_a_receipt_is_shown_under_its_own_case_only(client, renn):
    bullet = keep(renn, make_case(), BULLET)
    receipt = hand(renn, bullet)
    client.force_login(renn)
    for case_id, status in ((bullet.case_id, 200), (make_case().pk, 404)):
        keys = {"case_id": case_id, "receipt_id": receipt.pk}
        for name in ("receipt", "receipt-pdf", "receipt-withdraw"):
            assert client.get(reverse(f"custody:{name}", kwargs=keys)).status_code == status, name


@pytest.mark.parametrize("chosen", [f"{36 * '-'}:1", f"{36 * 'a'}:1", "x", ":", "0:0", "\u0663:1"])
def test_what_names_no_item_is_refused_beside_the_field(client, renn, chosen):
    bullet = keep(renn, make_case(), BULLET)
    client.force_login(renn)
    page = reverse("custody:hand-over", kwargs={"case_id": bullet.case_id})
    form = {**ENTRY, "at": "2026-11-14T12:00", "items": chosen, "record_id": str(new_id())}
    answer = client.post(page, form)
    assert answer.status_code == 422
    assert "items" in answer.context["form"].errors
