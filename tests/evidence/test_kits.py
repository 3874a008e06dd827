"""Kits and trays: several specimens under one seal, moved and handed over as one."""

from __future__ import annotations

import io
import json
from datetime import timedelta

import pikepdf
import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from cases.packets.custody_record import custody_groups, custody_rows, custody_values
from cases.review.content import report_content
from evidence.custody import actions as custody_actions
from evidence.custody import handing, receipts
from evidence.custody.models import CustodyState, Seal, Transfer
from evidence.custody.queries import custody_record, item_custody
from evidence.items import kinds
from evidence.items.models import Item
from evidence.specimens import actions
from evidence.specimens.models import Kit, Specimen
from me_office.accounts.roles import Role
from me_office.audit.errors import Conflict, Invalid, NotAllowed, Refused
from me_office.audit.ids import new_id
from tests.builders import MOMENT, make_case, make_staff
from tests.custody.test_receipts import ENTRY
from tests.evidence.items import specimen_entry
from tests.packets.reading import squeezed, text_of

LATER = MOMENT + timedelta(hours=2)
TRAY = [{"label": f"A{n}", "material": "Heart", "site": f"level {n}"} for n in range(1, 13)]
SWABS = [
    {"label": "1", "material": "Swabs", "site": "mouth"},
    {"label": "2", "material": "Combing", "site": "pubic hair"},
]


def record(actor, case, parts=TRAY, *, record_id=None, **fields):
    entry = {
        **specimen_entry(actor, container="Cassette", preservative="Formalin", purpose="histology"),
        "kind": "cassettes",
        "description": "",
        **fields,
    }
    return actions.record_kit(
        actor, case_id=case.pk, record_id=record_id or new_id(), entry=entry, parts=parts
    )


@pytest.mark.parametrize(
    ("typed", "parts"),
    [
        ("A1: Heart, left ventricle", [("A1", "Heart", "left ventricle")]),
        ("Swabs, mouth\n\nSwabs , skin, left neck ", [
            ("1", "Swabs", "mouth"), ("2", "Swabs", "skin, left neck"),
        ]),
        ("B2 : Lung, right: base", [("B2", "Lung", "right: base")]),
        ("\t A1 :Heart ,  left, upper\t", [("A1", "Heart", "left, upper")]),
        (f"{20 * 'x'}: Heart, left", [(20 * "x", "Heart", "left")]),
    ],
)  # fmt: skip
def test_parts_are_read_a_line_for_each(typed, parts):
    read = [(one["label"], one["material"], one["site"]) for one in kinds.parts_of(typed)]
    assert read == parts


@pytest.mark.parametrize(
    "typed",
    [
        *("Heart", "A1: Heart", ", left", "A1:, left", "A1: a, b\nlung", ": Heart, left"),
        *(f"{21 * 'x'}: Heart, left", "A1: B: Heart, left", "Heart, ", "Heart: left"),
        # A pattern with several runs of blanks took minutes over these.
        *(f"{5000 * ' '}x", f"x{5000 * ' '}x", f"x:{5000 * ' '}x", f"x,{5000 * ' '}"),
    ],
    ids=range(14),
)
def test_a_line_without_material_or_place_is_refused(typed):
    with pytest.raises(Invalid) as refused:
        kinds.parts_of(typed)
    assert set(refused.value.errors) == {"parts"}


def test_labels_stand_once_and_a_kit_has_parts():
    most = [{**TRAY[0], "label": str(n)} for n in range(kinds.MOST_PARTS)]
    kinds.check_parts(most)
    for wrong in ([], [*most, {**TRAY[0], "label": "x"}], [TRAY[0], {**TRAY[1], "label": "a1"}],
                  [{**TRAY[0], "label": " "}]):  # fmt: skip
        with pytest.raises(Invalid):
            kinds.check_parts(wrong)


def test_a_tray_of_cassettes_is_one_act_in_order_under_one_seal(vasko):
    case, key = make_case(), new_id()
    tray = record(vasko, case, record_id=key)
    assert record(vasko, case, record_id=key).pk == tray.pk
    for parts in (TRAY[:11], [*TRAY[1:], TRAY[0]]):
        with pytest.raises(Conflict):
            record(vasko, case, parts, record_id=key)
    assert [item.number for item in Item.objects.order_by("number")] == list(range(1, 14))
    weighed = [{**TRAY[0], "amount": "2.5", "unit": "g"}, *TRAY[1:]]
    for parts, said in (
        (weighed, {}), (TRAY, {"purpose": "toxicology"}), (TRAY, {"seal_number": "TC 0418"}),
        (TRAY, {"to_party": "Specimen refrigerator 3"}), (TRAY, {"collected_at": LATER}),
    ):  # fmt: skip
        with pytest.raises(Conflict):
            record(vasko, case, parts, record_id=key, **said)
    spaced = [{**each, "site": f" {each['site'].replace(' ', '  ')}"} for each in TRAY]
    assert record(vasko, case, spaced, record_id=key, seal_number=" TC  0417").pk == tray.pk
    parts = list(Specimen.objects.order_by("item__number"))
    assert [each.label for each in parts] == [f"A{n}" for n in range(1, 13)]
    assert parts[11].item.title == "A12 Heart, level 12"
    assert {each.item.container_id for each in parts} == {tray.item_id}
    assert (Seal.objects.count(), Transfer.objects.count()) == (1, 1)
    part = item_custody(case, parts[3].item_id)
    assert part.chain.holder == "Specimen refrigerator 2"
    assert part.closing_seal.number == "TC 0417"
    assert not CustodyState.objects.filter(loose=True).exists()


def test_parts_move_with_their_kit_and_not_alone(vasko):
    kit = record(vasko, make_case(), SWABS, kind="sexual assault")
    part = Specimen.objects.first().item
    one = {"case_id": kit.case_id, "version": 1, "record_id": new_id()}
    move = {"to_party": "State laboratory", "at": LATER, "place": "Desk", "purpose": "DNA",
            "seal_state": "intact"}  # fmt: skip
    with pytest.raises(Refused, match="part of a kit"):
        custody_actions.record_transfer(vasko, item_id=part.pk, entry=move, **one)
    with pytest.raises(Refused, match="part of a kit"):
        custody_actions.apply_seal(
            vasko, item_id=part.pk, entry={"number": "TC 9", "applied_at": LATER}, **one
        )
    with pytest.raises(Refused, match="part of a kit"):
        handing.hand_to_agency(
            vasko, case_id=kit.case_id, record_id=new_id(), items=[(part.pk, 1)],
            entry={**ENTRY, "at": LATER},
        )  # fmt: skip
    assert [each.item.pk for each in receipts.may_be_handed_over(kit.case)] == [kit.item_id]
    seal = Seal.objects.get()
    custody_actions.break_seal(
        vasko, case_id=kit.case_id, seal_id=seal.pk, version=1,
        entry={"broken_at": LATER, "broken_why": "opened for the inventory"},
    )  # fmt: skip
    now = item_custody(kit.case, part.pk)
    assert now.closing_seal is None
    assert [line.kind for line in now.moments] == ["sealed", "transfer", "seal broken"]
    kit.item.refresh_from_db()
    custody_actions.record_transfer(
        vasko, item_id=kit.item_id, entry={**move, "at": LATER + timedelta(hours=1),
        "seal_state": "broken"}, **{**one, "version": kit.item.version},
    )  # fmt: skip
    assert item_custody(kit.case, part.pk).chain.holder == "State laboratory"


def test_report_packet_and_receipt_list_the_parts(client, vasko):
    case = make_case()
    kit = record(vasko, case, SWABS, kind="sexual assault", description="one box")
    rows = next(each for each in report_content(case.pk)["sections"] if each["key"] == "specimens")[
        "rows"
    ]
    assert [row[:3] for row in rows] == [
        ["2 (in 1)", "1 Swabs", "mouth"], ["3 (in 1)", "2 Combing", "pubic hair"],
    ]  # fmt: skip
    kept = custody_record(case)
    groups = {each["title"]: each["items"] for each in custody_groups(kept)}
    assert groups["Kits and trays"][0]["title"] == "Item 1, Sexual assault evidence kit, one box"
    assert groups["Specimens"][0]["words"] == "In item 1; its custody is that item's."
    assert [each["in_item"] for each in custody_values(kept)] == [None, 1, 1]
    head, *lines = custody_rows(kept)
    assert {len(line) for line in lines} == {len(head)}
    assert [line[0] for line in lines] == ["1", "1", "2", "3"]

    handing.hand_to_agency(
        vasko, case_id=case.pk, record_id=new_id(), items=[(kit.item_id, 1)], entry=ENTRY
    )
    client.force_login(vasko)
    receipt = receipts.receipts_of(case)[0]
    page = reverse("custody:receipt-pdf", kwargs={"case_id": case.pk, "receipt_id": receipt.pk})
    text = squeezed(text_of(pikepdf.open(io.BytesIO(client.get(page).content))))
    assert squeezed("Parts: item 2: 1 Swabs, mouth; item 3: 2 Combing, pubic hair") in text


def test_the_pages_and_the_api_record_and_withdraw(client, vasko):
    case = make_case()
    client.force_login(vasko)
    keys = {"case_id": case.pk}
    page = reverse("evidence:kit-record", kwargs=keys)
    assert client.get(page).status_code == 200
    form = {
        **specimen_entry(vasko), "kind": "cassettes", "description": "", "container": "Cassette",
        "parts": "A1: Heart, left ventricle\nA2: Lung, right base", "record_id": str(new_id()),
        "collected_by": str(vasko.pk), "to_staff": "", "collected_at": "2026-11-14T12:00",
        "handed_over_at": "2026-11-14T12:20",
    }  # fmt: skip
    for parts in ("", "A1: Heart", "A1: Heart, a\nA1: Heart, b"):
        answer = client.post(page, {**form, "parts": parts})
        assert answer.status_code == 422
        assert "parts" in answer.context["form"].errors
    made = client.post(page, form)
    assert made.status_code == 302
    assert "A2 Lung, right base" in client.get(made.url).content.decode()
    part = Item.objects.get(number=2)
    of_part = client.get(reverse("custody:item", kwargs={**keys, "item_id": part.pk}))
    assert "handed over with it" in of_part.content.decode()
    assert "Record a transfer" not in of_part.content.decode()
    listed = client.get(reverse("evidence:specimens", kwargs=keys)).content.decode()
    assert "In item 1" in listed

    body = {
        **specimen_entry(vasko), "id": str(new_id()), "kind": "toxicology", "parts": SWABS,
        "collected_by": str(vasko.pk), "seal_number": "TC 77",
    }  # fmt: skip
    root = f"/api/cases/{case.pk}/kits/"
    sent = client.post(root, json.dumps(body, default=str), "application/json")
    assert sent.status_code == 201, sent.content
    assert [each["item_number"] for each in client.get(root).json()] == [1, 4]
    leave = json.dumps({"version": 1, "reason": "entered twice"})
    gone = client.post(f"{root}{sent.json()['id']}/void/", leave, "application/json")
    assert gone.status_code == 200
    assert Specimen.objects.active().count() == 2
    kit = Kit.objects.get(item__number=1)
    away = reverse("evidence:kit-withdraw", kwargs={**keys, "kit_id": kit.pk})
    assert client.post(away, {"version": "1", "reason": "not taken"}).status_code == 302
    assert not Item.objects.active().exists()


def test_only_who_takes_specimens_records_a_kit(vasko):
    with pytest.raises(NotAllowed):
        record(make_staff(Role.INVESTIGATOR), make_case())
    with pytest.raises((Invalid, Refused)):
        record(vasko, make_case(), seal_number="")
    assert not Item.objects.exists()


def test_a_tray_of_sixty_reads_as_often_as_one_of_three(client, vasko):
    client.force_login(vasko)
    counted = []
    for how_many in (3, 60):
        case = make_case()
        parts = [{**TRAY[0], "label": str(n)} for n in range(how_many)]
        kit = record(vasko, case, parts, seal_number=f"TC {how_many}")
        pages = [
            reverse("evidence:specimens", kwargs={"case_id": case.pk}),
            reverse("custody:case", kwargs={"case_id": case.pk}),
            reverse("custody:item", kwargs={"case_id": case.pk, "item_id": kit.item_id}),
        ]
        for page in pages:
            client.get(page)
        with CaptureQueriesContext(connection) as statements:
            for page in pages:
                assert client.get(page).status_code == 200
            report_content(case.pk)
            custody_values(custody_record(case))
        counted.append(len(statements))
    assert counted[0] == counted[1]
