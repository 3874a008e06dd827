"""A part that was recorded in the wrong kit: into another kit, or by itself; both stay told."""

from __future__ import annotations

import json
from datetime import timedelta

import pytest
from django.urls import reverse

from cases.packets.custody_record import custody_groups, custody_rows, custody_values
from evidence.custody import handing
from evidence.custody.models import CustodyState, Seal, Transfer
from evidence.custody.queries import custody_record, item_custody
from evidence.items.models import Item
from evidence.specimens import actions, queries
from evidence.specimens.models import Kit, Specimen
from me_office.accounts.roles import Role
from me_office.audit.errors import Invalid, NotAllowed, NotKnown, Refused, StaleRecord
from me_office.audit.ids import new_id
from me_office.audit.models import AuditEvent
from tests.builders import MOMENT, make_case, make_staff
from tests.custody.test_receipts import ENTRY
from tests.evidence.items import specimen_entry, take
from tests.evidence.test_kits import SWABS, TRAY, record

pytestmark = pytest.mark.django_db


@pytest.fixture
def two(vasko):
    """A tray as item 1 with the parts 2 and 3, a box as item 4 with the parts 5 and 6."""
    case = make_case()
    tray = record(vasko, case, TRAY[:2], seal_number="TC 1")
    box = record(vasko, case, SWABS, kind="sexual assault", seal_number="TC 2", to_party="Safe 1")
    return case, tray, box


def part(number):
    return Specimen.objects.get(item__number=number)


def move(by, case, number, kit, *, version=1, reason="Wrong tray.", **more):
    return actions.move_part(
        by, case_id=case.pk, specimen_id=part(number).pk, version=version, kit_id=kit.pk,
        reason=reason, **more,
    )  # fmt: skip


def out(by, case, number, *, version=1, reason="Never in it.", **said):
    return actions.take_part_out(
        by, case_id=case.pk, specimen_id=part(number).pk, version=version, reason=reason,
        entry=specimen_entry(by, seal_number="TC 9", to_party="Freezer 1", **said),
    )  # fmt: skip


def test_a_part_goes_into_the_kit_that_it_is_in(vasko, two):
    case, tray, box = two
    done = move(vasko, case, 3, box, label="3")
    assert (done.item.container, done.label, done.item.title) == (box.item, "3", "3 Heart, level 2")
    custody = item_custody(case, done.item_id)
    assert (custody.chain.holder, custody.closing_seal.number) == ("Safe 1", "TC 2")
    assert Seal.objects.count() == Transfer.objects.count() == 2, "nothing is moved or sealed"
    said = Item.objects.get(number=3).kit_correction
    assert said.startswith("Recorded in item 1 until ") and said.endswith(": Wrong tray.")
    event = AuditEvent.objects.filter(table="evidence_item", act="move_part").last()
    assert (event.reason, event.actor_name) == ("Wrong tray.", "Dr. I. Vasko")
    assert not CustodyState.objects.filter(loose=True).exists()
    move(vasko, case, 3, tray, version=2, reason="It was right before")
    assert Item.objects.get(number=3).kit_correction.count("Recorded in item") == 2


def test_a_part_that_was_never_in_its_kit_gets_seal_and_transfer_of_its_own(vasko, two):
    case, _, _ = two
    done = out(vasko, case, 2)
    item = Item.objects.get(number=2)
    assert (item.container, item.title, done.label) == (None, "Heart, level 1", "")
    custody = item_custody(case, item.pk)
    assert (custody.chain.holder, custody.closing_seal.number) == ("Freezer 1", "TC 9")
    assert custody.chain.unbroken
    assert not CustodyState.objects.get(item=item).loose
    kept = custody_record(case)
    shown = {one["title"]: one["words"] for group in custody_groups(kept)
             for one in group["items"]}  # fmt: skip
    assert "Recorded in item 1 until" in shown["Item 2, Heart, level 1"]
    assert shown["Item 2, Heart, level 1"].endswith("Never in it.")
    assert custody_values(kept)[1]["kit_correction"] == item.kit_correction
    head, *lines = custody_rows(kept)
    assert {len(line) for line in lines} == {len(head)}
    assert [line[4] for line in lines if line[0] == "2"] == ["corrected", "sealed", "transfer"]
    assert [line[-1] for line in lines if line[0] == "3"] == [""]


def test_a_label_is_free_again_when_its_part_is_withdrawn(vasko, two):
    case, _, box = two
    taken = part(5).label
    with pytest.raises(Invalid):
        move(vasko, case, 3, box, label=taken)
    actions.void_specimen(
        vasko, case_id=case.pk, specimen_id=part(5).pk, version=1, reason="entered twice"
    )
    assert move(vasko, case, 3, box, label=taken).label == taken
    kits = queries.other_kits(part(2))
    assert [kit.pk for kit in kits] == [box.pk]
    extra = record(vasko, case, SWABS[:1], kind="other", seal_number="TC 3", to_party="Safe 1")
    actions.void_kit(vasko, case_id=case.pk, kit_id=extra.pk, version=1, reason="entered twice")
    assert [kit.pk for kit in queries.other_kits(part(2))] == [box.pk], "none that is withdrawn"


def test_a_part_by_itself_was_collected_as_it_is_said_now(vasko, two):
    case, _, _ = two
    lorne, at = make_staff(Role.PATHOLOGIST, name="Dr. E. Lorne"), MOMENT + timedelta(minutes=5)
    done = out(
        vasko, case, 2, collected_by=lorne, collected_at=at,
        handed_over_at=MOMENT + timedelta(minutes=9),
    )  # fmt: skip
    item = Item.objects.get(pk=done.item_id)
    assert (item.collected_by, item.collected_at) == (lorne, at)


def test_a_label_is_kept_in_one_line_and_left_as_it_is_where_none_is_given(vasko, two):
    case, _, box = two
    own = part(3).label
    assert move(vasko, case, 2, box, label=" 4  b ").label == "4 b"
    assert move(vasko, case, 3, box, label="  ").label == own


def test_what_cannot_be_is_refused_and_leaves_everything(vasko, two):
    case, tray, box = two
    before = list(Item.objects.order_by("number").values())
    foreign = Kit.objects.create(
        case=make_case(), kind="other", created_by=vasko, changed_by=vasko, item=take(
            vasko, make_case(), seal_number="TC 5").item,
    )  # fmt: skip
    for wrong, call in (
        (Invalid, lambda: move(vasko, case, 3, box, label="1")),
        (Refused, lambda: move(vasko, case, 3, tray)),
        (Refused, lambda: move(vasko, case, 3, box, reason=" ")),
        (Refused, lambda: out(vasko, case, 3, reason="")),
        (StaleRecord, lambda: move(vasko, case, 3, box, version=7)),
        (NotAllowed, lambda: move(make_staff(Role.INVESTIGATOR), case, 3, box)),
        (NotAllowed, lambda: out(make_staff(Role.INVESTIGATOR), case, 3)),
        (Invalid, lambda: out(vasko, case, 3, transfer_place="")),
        (NotKnown, lambda: move(vasko, case, 3, foreign)),
    ):
        with pytest.raises(wrong):
            call()
    alone = take(vasko, case, seal_number="TC 7")
    with pytest.raises(Refused, match="no part of a kit"):
        move(vasko, case, alone.item.number, box)
    actions.void_kit(vasko, case_id=case.pk, kit_id=box.pk, version=1, reason="entered twice")
    with pytest.raises(Refused, match="withdrawn"):
        move(vasko, case, 3, box)
    assert list(Item.objects.filter(case=case, number__lt=4).values()) == before[:3]
    other = record(vasko, case, SWABS, seal_number="TC 8")
    actions.void_specimen(
        vasko, case_id=case.pk, specimen_id=part(2).pk, version=1, reason="entered twice"
    )
    for call in (
        lambda: move(vasko, case, 2, other, version=2),
        lambda: out(vasko, case, 2, version=2),
    ):
        with pytest.raises(Refused, match="This specimen was withdrawn"):
            call()


def test_a_kit_that_an_agency_holds_keeps_its_parts_until_it_is_back(vasko, two):
    case, tray, box = two
    handing.hand_to_agency(
        vasko, case_id=case.pk, record_id=new_id(), items=[(tray.item_id, 1)],
        entry={**ENTRY, "at": MOMENT + timedelta(hours=2)},
    )  # fmt: skip
    for call in (lambda: move(vasko, case, 2, box), lambda: out(vasko, case, 2),
                 lambda: move(vasko, case, 5, tray, label="A9")):  # fmt: skip
        with pytest.raises(Refused, match="with an agency: record its return first"):
            call()


def test_the_pages_and_the_api_correct_a_part(client, vasko, two):
    case, tray, box = two
    client.force_login(vasko)
    item = reverse("custody:item", args=[case.pk, part(3).item_id])
    pages = {name: reverse(f"evidence:{name}", args=[case.pk, part(3).pk])
             for name in ("part-move", "part-out")}  # fmt: skip
    shown = client.get(item).content.decode()
    assert all(page in shown for page in pages.values())
    assert all(client.get(page).status_code == 200 for page in pages.values())
    typed = {"kit": box.pk, "label": "1", "reason": "Wrong tray.", "version": "1"}
    taken = client.post(pages["part-move"], typed)
    assert taken.status_code == 422 and "appears twice" in taken.content.decode()
    assert client.post(pages["part-move"], {**typed, "label": "7"}).status_code == 302
    assert "Recorded in item 1 until" in client.get(item).content.decode()
    form = {
        **specimen_entry(vasko, seal_number="TC 9"), "collected_by": vasko.pk, "version": "2",
        "collected_at": "2026-11-14T12:00", "handed_over_at": "2026-11-14T12:20",
    }  # fmt: skip
    refused = client.post(pages["part-out"], form)
    assert refused.status_code == 422 and "reason" in refused.context["form"].errors
    assert client.post(pages["part-out"], {**form, "reason": "In no kit."}).status_code == 302
    assert client.get(pages["part-out"]).status_code == 404
    assert client.post(pages["part-move"], typed).status_code == 404
    root = f"/api/cases/{case.pk}/specimens/{part(2).pk}"
    sent = {"version": 1, "kit": str(box.pk), "label": "8", "reason": "Wrong tray."}
    answer = client.post(f"{root}/kit/", json.dumps(sent), "application/json")
    assert (answer.status_code, answer.json()["label"]) == (200, "8")
    body = {**specimen_entry(vasko, seal_number="TC 8"), "collected_by": vasko.pk, "version": 2,
            "reason": "In no kit."}  # fmt: skip
    answer = client.post(f"{root}/out/", json.dumps(body, default=str), "application/json")
    assert (answer.status_code, answer.json()["label"]) == (200, "")
    assert Item.objects.filter(container=tray.item).count() == 0
    empty = reverse("evidence:part-move", args=[case.pk, part(5).pk])
    actions.void_kit(vasko, case_id=case.pk, kit_id=tray.pk, version=1, reason="it has no parts")
    assert "There is no other kit" in client.get(empty).content.decode()
