"""Things by what they are and where they were found; evidence apart from personal effects."""

from __future__ import annotations

import json
from decimal import Decimal
from pathlib import Path

import pytest
from django.contrib.staticfiles import finders
from django.core.exceptions import ValidationError
from django.urls import reverse

from cases.packets.custody_record import custody_groups, custody_rows, custody_values
from cases.review.content import report_content
from evidence.custody.queries import custody_record
from evidence.items import kinds
from evidence.items.models import Item
from evidence.property import actions
from evidence.property.models import PropertyItem
from me_office.accounts.roles import Role
from me_office.audit.errors import Conflict, Invalid, Refused
from me_office.audit.ids import new_id
from me_office.moments import clock_words
from tests.builders import MOMENT, make_case, make_staff
from tests.evidence.items import specimen_entry
from tests.evidence.pictures import make_finding
from tests.evidence.things import BULLET, CASH, RING, keep

CATEGORIES = {
    "personal effects", "clothing", "cash", "valuables", "medication", "firearm", "ammunition",
    "weapon", "trace", "document", "device", "ligature", "foreign object", "other",
}  # fmt: skip
ONLY_EVIDENCE = {"ammunition", "trace", "ligature", "foreign object", "other"}
PLACE_ASKED = {"at the scene", "in the body", "brought by others"}


def said(**fields):
    return {**RING, "witnessed_by": "", **fields}


def errors(**fields):
    try:
        kinds.check_thing(said(**fields), counted_by=["Dr. I. Vasko", "D. Renn"])
    except Invalid as error:
        return set(error.errors)
    return set()


@pytest.mark.parametrize("category", sorted(CATEGORIES))
def test_each_kind_of_thing_is_kept_as_what_it_can_be(category):
    counted = CASH if category == "cash" else {}
    as_property = errors(**{**counted, "category": category, "kept_as": "property"})
    assert as_property == ({"kept_as"} if category in ONLY_EVIDENCE else set())
    assert errors(**{**counted, "category": category, "kept_as": "evidence"}) == set()


@pytest.mark.parametrize("found", [value for value, _ in kinds.FOUND])
def test_a_place_is_asked_for_where_the_choice_alone_does_not_say_it(found):
    assert errors(found=found, found_at=" ") == ({"found_at"} if found in PLACE_ASKED else set())
    assert errors(found=found, found_at="kitchen") == set()


def test_the_lists_are_those_that_were_asked_for():
    assert {value for value, _ in kinds.CATEGORIES} == CATEGORIES
    assert errors(category="", kept_as="") == {"category", "kept_as"}


@pytest.mark.parametrize(
    ("typed", "counted", "total"),
    [
        ("3 x 20.00", [(3, "20.00")], "60.00"),
        ("3 x 20\n\n 1 × 5,50 ", [(3, "20"), (1, "5.50")], "65.50"),
        ("2*0.25; 4X1", [(2, "0.25"), (4, "1")], "4.50"),
        ("\t2  x\t0.25  ", [(2, "0.25")], "0.50"),
    ],
)
def test_cash_is_read_by_count_and_added_up(typed, counted, total):
    read = kinds.count_of_cash(typed)
    assert [(each["pieces"], each["value"]) for each in read] == counted
    assert kinds.total_of(read) == Decimal(total)
    assert kinds.count_of_cash(kinds.cash_typed(read)) == read


@pytest.mark.parametrize(
    "typed", ["65.00", "0 x 20", "x 20", "3 x", "3 x -5", "three x 20", "٣ x ٢٠"]
)
def test_what_is_no_count_is_refused(typed):
    with pytest.raises(Invalid) as refused:
        kinds.count_of_cash(f"1 x 5\n{typed}")
    assert set(refused.value.errors) == {"cash_count"}


@pytest.mark.parametrize(
    ("fields", "wrong"),
    [
        ({"witnessed_by": ""}, {"witnessed_by"}),
        ({"witnessed_by": "D. Renn"}, {"witnessed_by"}),
        ({"witnessed_by": " dr  i vasko"}, {"witnessed_by"}),
        ({"witnessed_by": "D. Renner"}, set()),
        ({"cash_count": []}, {"cash_count"}),
        ({"cash_currency": ""}, {"cash_currency"}),
        ({"cash_currency": "US"}, {"cash_currency"}),
        ({"category": "valuables"}, {"cash_count"}),
        ({"category": "valuables", "cash_count": [], "witnessed_by": ""}, set()),
    ],
)
def test_cash_is_counted_by_two_different_people(fields, wrong):
    assert errors(**{**CASH, **fields}) == wrong


def test_a_bullet_from_a_wall_is_evidence_and_no_effect_of_the_decedent(client, vasko):
    case = make_case()
    finding = make_finding(case, vasko)
    bullet = keep(vasko, case, BULLET, finding=finding)
    keep(vasko, case, RING, seal_number="TC 2")
    keep(vasko, case, CASH, seal_number="TC 3")
    assert [item.kind for item in Item.objects.order_by("number")] == [
        "evidence", "property", "property",
    ]  # fmt: skip

    client.force_login(vasko)
    page = client.get(reverse("evidence:property", kwargs={"case_id": case.pk}))
    shown = {title: [held.pk for held, _ in rows] for title, _, rows in page.context["groups"]}
    assert shown["Evidence"] == [bullet.pk]
    assert len(shown["Personal effects"]) == 2
    text = page.content.decode()
    assert "found at the scene, wall behind the chair" in text
    assert f"finding {finding.number}" in text
    assert "USD 65.00 (3 x 20.00, 1 x 5.00)" in text

    sections = {each["key"]: each for each in report_content(case.pk)["sections"]}
    assert [row[0] for row in sections["kept-evidence"]["rows"]] == ["1"]
    assert [row[0] for row in sections["kept-property"]["rows"]] == ["2", "3"]
    assert sections["kept-evidence"]["rows"][0][3:] == [
        "at the scene, wall behind the chair", str(finding.number),
    ]  # fmt: skip

    record = custody_record(case)
    groups = {group["title"]: group["items"] for group in custody_groups(record)}
    assert [each["title"] for each in groups["Evidence"]] == ["Item 1, Deformed projectile"]
    assert len(groups["Personal effects of the decedent"]) == 2
    assert [each["kind"] for each in custody_values(record)] == ["evidence", "property", "property"]
    head, *rows = custody_rows(record)
    at = head.index("Kind")
    assert [(row[0], row[at]) for row in rows][::2] == [
        ("1", "evidence"), ("2", "property"), ("3", "property"),
    ]  # fmt: skip


def test_a_thing_of_which_nobody_said_what_it_is_is_not_kept(vasko):
    case = make_case()
    with pytest.raises(Invalid) as refused:
        keep(vasko, case, {**RING, "category": "", "kept_as": ""})
    assert set(refused.value.errors) == {"category", "kept_as"}
    with pytest.raises(Refused) as refused:
        keep(vasko, case, {**RING, "found": ""})
    assert refused.value.field == "found"
    with pytest.raises(Refused) as refused:
        keep(vasko, case, BULLET, finding=make_finding(make_case(), vasko))
    assert refused.value.field == "finding"
    assert not Item.objects.exists()


def test_the_same_thing_twice_is_one_and_kept_otherwise_is_a_conflict(vasko):
    case, key = make_case(), new_id()
    device = {**RING, "category": "device", "description": "Phone"}
    held = keep(vasko, case, device, record_id=key)
    assert keep(vasko, case, device, record_id=key).pk == held.pk
    with pytest.raises(Conflict):
        keep(vasko, case, {**device, "kept_as": "evidence"}, record_id=key)
    with pytest.raises(Conflict):
        keep(vasko, case, {**device, "seal_number": "TC 9999"}, record_id=key)
    changed = actions.describe_property(
        vasko,
        case_id=case.pk,
        property_id=held.pk,
        version=1,
        entry={"kept_as": "evidence"},
        reason="asked for by the police",
    )
    assert (changed.kept_as, Item.objects.get().kind) == ("evidence", "evidence")
    with pytest.raises(Invalid):
        actions.describe_property(
            vasko,
            case_id=case.pk,
            property_id=held.pk,
            version=2,
            entry={"kept_as": "property", "category": "ligature"},
            reason="looked at again",
        )


def test_a_row_from_before_the_question_stays_personal_effects(vasko):
    """What an older row holds: no answer to what it is or where it was found."""
    case = make_case()
    made = {"created_by": vasko, "changed_by": vasko, "case": case}
    item = Item.objects.create(number=1, kind="property", title="Keys", **made)
    held = PropertyItem.objects.create(item=item, description="Keys", found_at="pocket", **made)
    assert (held.kept_as, held.category, held.where_words) == (
        "property", "personal effects", "pocket",
    )  # fmt: skip
    changed = actions.describe_property(
        vasko, case_id=case.pk, property_id=held.pk, version=held.version,
        entry={"description": "Two keys"}, reason="counted again",
    )  # fmt: skip
    assert changed.description == "Two keys"


def test_the_database_keeps_a_projectile_from_being_an_effect(vasko):
    held = keep(vasko, make_case(), BULLET)
    held.kept_as = "property"
    with pytest.raises(ValidationError, match="kept as evidence"):
        held.full_clean()


def test_the_form_asks_and_the_api_takes_the_same(client, vasko):
    case = make_case()
    client.force_login(vasko)
    page = reverse("evidence:property-record", kwargs={"case_id": case.pk})
    fields = {name: value for name, value in specimen_entry(vasko).items() if value is not None}
    form = {
        **fields, **BULLET, "record_id": str(new_id()), "request_key": str(new_id()),
        "collected_by": str(vasko.pk), "to_staff": "", "finding": "",
        "collected_at": clock_words(MOMENT, "%Y-%m-%dT%H:%M"),
        "handed_over_at": clock_words(fields["handed_over_at"], "%Y-%m-%dT%H:%M"),
    }  # fmt: skip
    for missing in ("category", "kept_as", "found"):
        answer = client.post(page, {**form, missing: ""})
        assert answer.status_code == 422
        assert missing in answer.context["form"].errors
    wrong = client.post(page, {**form, "category": "cash", "kept_as": "property",
                               "cash_count": "sixty five"})  # fmt: skip
    assert {"cash_count"} <= set(wrong.context["form"].errors)
    assert client.post(page, form).status_code == 302

    body = {
        **fields, **CASH, "id": str(new_id()), "collected_by": str(vasko.pk),
        "seal_number": "TC 88", "collected_at": MOMENT.isoformat(),
        "handed_over_at": fields["handed_over_at"].isoformat(),
    }  # fmt: skip
    root = f"/api/cases/{case.pk}/property/"
    lone = client.post(
        root, json.dumps({**body, "witnessed_by": ""}, default=str), "application/json"
    )
    assert lone.status_code == 422
    assert "witnessed_by" in lone.content.decode()
    made = client.post(root, json.dumps(body, default=str), "application/json")
    assert made.status_code == 201, made.content
    assert made.json()["cash_count"] == CASH["cash_count"]


@pytest.mark.django_db
def test_the_count_of_cash_is_asked_for_cash_alone(client):
    client.force_login(make_staff(Role.EVIDENCE_TECHNICIAN))
    case = make_case()
    page = reverse("evidence:property-record", args=[case.pk])
    fresh = client.get(page).content.decode()
    assert "evidence/css/things.css" in fresh
    assert 'class="fields-row only-cash"' in fresh, "the style sheet hides it, no script is needed"
    sent = client.post(page, {"category": "valuables", "cash_count": "1 x 5.00"}).content.decode()
    assert "only-cash has-cash" in sent, "what was typed is never hidden"
    rules = Path(finders.find("evidence/css/things.css")).read_text()
    assert rules.count("display: none") == 1 and "@supports selector(:has(a))" in rules
    assert f'option[value="{kinds.CASH}"]:checked' in rules


@pytest.mark.django_db
def test_both_fields_of_a_receiver_say_that_one_is_needed(client):
    client.force_login(make_staff(Role.EVIDENCE_TECHNICIAN))
    case = make_case()
    held = keep(make_staff(Role.EVIDENCE_TECHNICIAN), case, RING)
    for page in (
        reverse("evidence:property-record", args=[case.pk]),
        reverse("custody:transfer", args=[case.pk, held.item_id]),
    ):
        shown = client.get(page).content.decode()
        assert shown.count("one of the two required") == 2
        for name in ("to_staff", "to_party"):
            field = shown[shown.index(f'id="id_{name}_field"') :][:400]
            assert "one of the two required" in field
    thing = client.get(reverse("evidence:property-record", args=[case.pk])).content.decode()
    for name in ("cash_count", "witnessed_by"):
        field = thing[thing.index(f'id="id_{name}_field"') :][:400]
        assert "required for cash" in field
