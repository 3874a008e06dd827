"""Values typed in °F, inches, pounds, months and days: kept in one unit with what was read.

Checked against the definitions of inch and pound (international yard and pound agreement, 1959) and
the fixed points of the Fahrenheit scale (32 °F and 212 °F are 0 °C and 100 °C).
"""

from __future__ import annotations

import json
from decimal import Decimal

import pytest
from django.urls import reverse
from django.utils import timezone

from cases import actions
from cases.models import Decedent, SceneReading
from cases.rules.case import CaseState
from cases.rules.decedent import age_words, changed_words, wrong_in_origin, wrong_in_race
from cases.rules.intake import why_not_identified
from cases.rules.scene import LIVER_READ, NO_AIR, TOO_HOT, Reading, reading_cautions
from me_office.accounts.roles import Role
from me_office.audit.errors import Invalid
from me_office.audit.ids import new_id
from me_office.units import WrongUnit, parsed, with_kept_units
from tests.builders import as_person, make_case, make_staff
from tests.cases.entries import ago, received
from tests.findings.builders import make_examination


@pytest.mark.parametrize(
    ("read", "kept", "places", "value"),
    [
        ("32 °F", "°C", 1, "0.0"),
        ("212 °F", "°C", 1, "100.0"),
        ("98.6 °F", "°C", 1, "37.0"),
        ("-40 °F", "°C", 1, "-40.0"),
        ("37 °C", "°C", 1, "37"),
        ("1 in", "cm", 2, "2.54"),
        ("68 in", "cm", 1, "172.7"),
        ("1 lb", "kg", 8, "0.45359237"),
        ("181 lb", "kg", 2, "82.10"),
        ("6 months", "years", 6, "0.500000"),
        ("10 days", "years", 6, "0.027379"),
        ("36 hours", "years", 6, "0.004107"),
    ],
)
def test_a_reading_is_kept_in_one_unit_with_what_was_read(read, kept, places, value):
    measured = parsed(read, kept=kept, places=places)
    assert measured == Decimal(value)
    assert measured.read == ("" if read.endswith(kept) else read)


@pytest.mark.parametrize("read", ["warm", "98.6", "98.6 K", "°F 98.6", "1e9 °F", ""])
def test_a_reading_that_cannot_be_understood_is_refused(read):
    with pytest.raises(WrongUnit):
        parsed(read, kept="°C", places=1)


FIELDS = {"value_c": ("°C", 1)}


@pytest.mark.parametrize(
    ("entry", "value", "read"),
    [
        ({"value_c": Decimal("37.0")}, Decimal("37.0"), ""),
        ({"value_c_read": "98.6 °F"}, Decimal("37.0"), "98.6 °F"),
        ({"value_c": Decimal("37.0"), "value_c_read": "98.6 °F"}, Decimal("37.0"), "98.6 °F"),
        ({"value_c": Decimal("37.0"), "value_c_read": "37 °C"}, Decimal("37.0"), ""),
        # A new value in the kept unit takes the place of what was read before.
        ({"value_c": Decimal("31.0"), "value_c_read": ""}, Decimal("31.0"), ""),
    ],
)
def test_an_entry_comes_to_one_value(entry, value, read):
    said, wrong = with_kept_units(entry, FIELDS)
    assert (wrong, said["value_c"], said["value_c_read"]) == ({}, value, read)


def test_a_value_and_a_reading_that_disagree_are_refused():
    wrong = with_kept_units({"value_c": Decimal("98.6"), "value_c_read": "98.6 °F"}, FIELDS)[1]
    assert wrong == {"value_c": "98.6 °F is 37 °C, not 98.6."}


def test_what_is_not_sent_is_not_touched():
    assert with_kept_units({"kind": "rectal"}, FIELDS) == ({"kind": "rectal"}, {})


@pytest.mark.django_db
def test_a_temperature_is_typed_in_fahrenheit_and_shown_as_read_when_changed():
    sedge, case = make_staff(Role.INVESTIGATOR), make_case()
    client = as_person(sedge)
    add = reverse("cases:add-entry", kwargs={"case_id": case.pk, "kind": "readings"})
    typed = {
        "kind": "rectal", "value_c": "98.6", "value_c_unit": "°F",
        "read_at": timezone.localtime(ago(hours=2)).strftime("%Y-%m-%dT%H:%M"),
        "record_id": str(new_id()),
    }  # fmt: skip
    assert client.post(add, typed).status_code == 302
    reading = SceneReading.objects.get()
    assert (reading.value_c, reading.value_c_read) == (Decimal("37.0"), "98.6 °F")
    page = client.get(reverse("cases:scene", kwargs={"case_id": case.pk})).content.decode()
    assert "37 °C (read as 98.6 °F)" in page
    edit = reverse(
        "cases:edit-entry",
        kwargs={"case_id": case.pk, "kind": "readings", "record_id": reading.pk},
    )
    form = client.get(edit).content.decode()
    assert 'value="98.6"' in form
    assert '<option value="°F" selected>' in form
    wrong = client.post(edit, {**typed, "value_c_unit": "K", "version": "1"})
    assert wrong.status_code == 422
    assert "The unit is °C or °F." in wrong.content.decode()


@pytest.mark.django_db
def test_a_receipt_a_length_and_a_weight_are_taken_as_read():
    sedge, case = make_staff(Role.INVESTIGATOR), make_case()
    receipt = actions.receive_body(
        sedge, case_id=case.pk, version=0, entry=received(body_temp_c_read="44.6 °F")
    )
    assert (receipt.body_temp_c, receipt.body_temp_c_read) == (Decimal("7.0"), "44.6 °F")
    examination = make_examination(
        case=case, crown_heel_cm=None, crown_heel_cm_read="68 in", body_weight_kg_read="181 lb"
    )
    assert (examination.length_words, examination.weight_words) == (
        "172.7 cm (68 in)", "82.1 kg (181 lb)"
    )  # fmt: skip
    with pytest.raises(Invalid) as refusal:
        make_examination(crown_heel_cm_read="68 feet")
    assert list(refusal.value.errors) == ["crown_heel_cm"]


@pytest.mark.django_db
def test_the_api_takes_what_was_read():
    sedge, case = make_staff(Role.INVESTIGATOR), make_case()
    sent = {
        "id": str(new_id()), "version": 0, "kind": "ambient", "value_c_read": "50 °F",
        "read_at": ago(hours=2).isoformat(),
    }  # fmt: skip
    answer = as_person(sedge).post(
        f"/api/cases/{case.pk}/readings/", json.dumps(sent), content_type="application/json"
    )
    assert answer.status_code in (200, 201), answer.content
    assert answer.json()["value_c"] == "10.0"


@pytest.mark.parametrize(
    ("years", "read", "words"),
    [
        (10 / 365.25, "10 days", "10 days"),
        (10 / 365.25, "", "10 days"),
        (1 / 365.25, "", "1 day"),
        (0.5 / 365.25, "", "12 hours"),
        (0.003, "", "1 day"),
        (0.02, "", "7 days"),
        (0.04, "", "15 days"),
        (59 / 365.25, "", "59 days"),
        (0.25, "", "3 months"),
        (1.99, "", "24 months"),
        (2, "", "2 years"),
        (58.9, "", "58 years"),
        (1 / 365.25 / 24, "1 hours", "1 hour"),
        (0.5, "6 months", "6 months"),
    ],
)
def test_an_age_is_said_in_the_unit_people_use(years, read, words):
    assert age_words(years, read) == words


@pytest.mark.django_db
def test_a_newborn_of_ten_days_is_ten_days_old_on_every_page():
    sedge, case = make_staff(Role.INVESTIGATOR), make_case()
    client = as_person(sedge)
    edit = reverse("cases:edit-decedent", kwargs={"case_id": case.pk})
    typed = {
        "family_name": "Lowell", "age_years": "10", "age_years_unit": "days", "version": "1",
        "race": ["white", "american indian"], "race_words": "Eskmere band",
        "hispanic_origin": "no",
    }  # fmt: skip
    assert client.post(edit, typed).status_code == 302
    decedent = Decedent.objects.get(case=case)
    assert decedent.age_words == "10 days"
    assert decedent.race == ["white", "american indian"]
    page = client.get(reverse("cases:body", kwargs={"case_id": case.pk})).content.decode()
    assert page.count("10 days") >= 2  # head line and facts
    assert "White, American Indian or Alaska Native, Eskmere band" in page
    assert "no, not Spanish, Hispanic or Latino" in page


@pytest.mark.parametrize(
    ("races", "words", "field"),
    [
        ([], "", ""),
        (["white"], "", ""),
        (["white", "black"], "", ""),
        (["unknown"], "", ""),
        (["other"], "Eskmere band", ""),
        (["unknown", "white"], "", "race"),
        (["white", "white"], "", "race"),
        (["white"], "Eskmere band", "race_words"),
        ([], "Eskmere band", "race_words"),
    ],
)
def test_race_is_stated_as_the_certificate_asks_it(races, words, field):
    assert list(wrong_in_race(races, words)) == ([field] if field else [])


def test_another_origin_is_named_only_where_it_is_another():
    assert wrong_in_origin("other", "Basque") == {}
    assert list(wrong_in_origin("no", "Basque")) == ["hispanic_origin_other"]


@pytest.mark.django_db
def test_a_race_that_is_not_on_the_form_is_refused():
    sedge, case = make_staff(Role.INVESTIGATOR), make_case()
    with pytest.raises(Invalid):
        actions.describe_decedent(sedge, case_id=case.pk, version=1, entry={"race": ["martian"]})


# Source: NAME standards, C7, presumptive and positive told apart (from memory).
@pytest.mark.parametrize(
    ("identity", "method", "basis", "field"),
    [
        ("confirmed", "documents", "", "basis"),
        ("confirmed", "circumstances", "  ", "basis"),
        ("confirmed", "tattoo or scar", "", "basis"),
        ("confirmed", "documents", "Passport picture, and the sister's account", ""),
        ("confirmed", "visual", "", ""),
        ("confirmed", "fingerprints", "", ""),
        ("confirmed", "none", "x", "method"),
        ("tentative", "documents", "", ""),
        ("tentative", "circumstances", "", ""),
        ("unknown", "none", "", ""),
    ],
)
def test_a_presumptive_method_needs_its_reason_to_confirm(identity, method, basis, field):
    wrong = why_not_identified(identity, method, is_named=True, basis=basis)
    assert list(wrong) == ([field] if field else [])


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("Burned over the trunk and face", ["burned"]),
        ("Early decomposition, bloated", ["decomposition", "bloated"]),
        ("Face injured by the fall", ["face injured"]),
        ("Charred remains", ["charred"]),
        ("Clothing dry, hands bagged", []),
        ("Burnaby Street", []),
        ("", []),
    ],
)
def test_words_of_a_changed_face_are_found(text, words):
    assert changed_words(text) == words


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("method", "condition", "is_warned"),
    [("visual", "Burned", True), ("dental", "Burned", False), ("visual", "Bag dry", False)],
)
def test_identity_by_sight_is_questioned_where_the_face_may_be_changed(
    method, condition, is_warned
):
    sedge, case = make_staff(Role.INVESTIGATOR), make_case(state=CaseState.OPEN)
    actions.receive_body(sedge, case_id=case.pk, version=0, entry=received(condition=condition))
    actions.record_identification(
        sedge,
        case_id=case.pk,
        record_id=new_id(),
        entry={
            "identity": "confirmed", "method": method, "made_by": "A sister",
            "made_at": ago(hours=1),
        },
    )  # fmt: skip
    page = as_person(sedge).get(reverse("cases:body", kwargs={"case_id": case.pk}))
    assert ("speaks of a changed body" in page.content.decode()) is is_warned


@pytest.mark.parametrize(
    ("readings", "cautions"),
    [
        ([], []),
        ([("ambient", 20)], []),
        ([("ambient", 20), ("rectal", 31)], []),
        ([("rectal", 31)], [NO_AIR]),
        ([("ambient", 20), ("rectal", 43)], []),
        ([("ambient", 20), ("rectal", 43.1)], [TOO_HOT]),
        ([("ambient", 20), ("liver", 31)], [LIVER_READ]),
        ([("liver", 44), ("liver", 31)], [NO_AIR, TOO_HOT, LIVER_READ]),
    ],
)
def test_what_a_body_temperature_costs_and_lacks_is_said(readings, cautions):
    assert reading_cautions(Reading(*one) for one in readings) == [one.say() for one in cautions]


@pytest.mark.django_db
def test_the_form_of_a_temperature_says_what_a_probe_costs_before_it_is_taken():
    sedge, case = make_staff(Role.INVESTIGATOR), make_case()
    add = reverse("cases:add-entry", kwargs={"case_id": case.pk, "kind": "readings"})
    page = as_person(sedge).get(add).content.decode()
    assert "comes after swabs where a sexual assault is possible" in page
    assert "makes a wound before the examination" in page
