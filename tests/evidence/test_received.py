"""Specimens that others took: never shown as taken at the examination."""

from __future__ import annotations

import json
from datetime import timedelta

import pytest
from django.db import connection
from django.urls import reverse
from django.utils import timezone

from cases.models import ReportOfDeath
from cases.packets.custody_record import custody_groups, custody_values
from cases.review.content import report_content
from evidence.custody.models import Seal, Transfer
from evidence.custody.queries import custody_record, item_custody
from evidence.items import kinds
from evidence.items.models import Item
from evidence.specimens import actions
from evidence.specimens.models import Specimen
from me_office.accounts.roles import Role
from me_office.audit.errors import Conflict, Invalid, NotAllowed, Refused
from me_office.audit.ids import new_id
from tests.builders import MOMENT, make_case, make_staff
from tests.evidence.items import take

TAKEN = MOMENT - timedelta(days=1)
RECEIVED = MOMENT + timedelta(hours=3)
HOSPITAL = {
    "material": "Blood",
    "site": "Arm, by the label",
    "container": "Lavender-top tube",
    "purpose": "toxicology",
    "origin": "before death",
    "taken_by": "Nurse on ward 4",
    "taken_where": "Tarnford Hospital, emergency department",
    "label_time": "11/13 2140",
    "taken_at": TAKEN,
    "received_from": "Laboratory desk, Tarnford Hospital",
    "received_at": RECEIVED,
    "received_place": "Evidence counter",
    "came_sealed": False,
    "seal_number": "TC 501",
    "sealed_at": RECEIVED + timedelta(minutes=5),
}


def receive(actor, case, *, record_id=None, **fields):
    return actions.receive_specimen(
        actor, case_id=case.pk, record_id=record_id or new_id(), entry={**HOSPITAL, **fields}
    )


def test_hospital_blood_is_in_custody_and_not_among_what_was_taken_here(renn):
    case = make_case()
    vasko = make_staff(Role.PATHOLOGIST, name="Dr. I. Vasko")
    own = take(vasko, case)
    blood = receive(renn, case)
    assert own.origin_words == ""
    now = item_custody(case, blood.item_id)
    assert (now.item.collected_by, now.item.collected_at) == (None, TAKEN)
    assert now.chain.holder == "D. Renn"
    assert now.chain.unbroken
    assert now.transfers[0].from_party == "Laboratory desk, Tarnford Hospital"
    assert now.closing_seal.applied_by == "D. Renn"

    sections = {each["key"]: each for each in report_content(case.pk)["sections"]}
    assert [row[0] for row in sections["specimens"]["rows"]] == ["1"]
    others = sections["specimens-of-others"]
    assert others["title"] == "Specimens taken by others, not at the examination"
    assert others["rows"] == [[
        "2", "Blood, Arm, by the label", "taken before death",
        "Nurse on ward 4, Tarnford Hospital, emergency department", "11/13 2140",
        "from Laboratory desk, Tarnford Hospital",
    ]]  # fmt: skip
    record = custody_record(case)
    assert [bool(each["taken_by_others"]) for each in custody_values(record)] == [False, True]
    printed = custody_groups(record)[0]["items"]
    assert "before death" not in printed[0]["words"]
    assert printed[1]["words"].startswith("Taken before death by others: Nurse on ward 4")


def test_what_came_sealed_was_sealed_by_whoever_took_it(renn):
    blood = receive(renn, make_case(), came_sealed=True, sealed_at=None)
    seal = Seal.objects.get()
    assert (seal.applied_by, seal.applied_at) == ("Nurse on ward 4", TAKEN)
    assert Transfer.objects.get().seal_state == "intact"
    assert item_custody(blood.case, blood.item_id).chain.unbroken


def test_a_label_without_a_time_is_kept_as_it_is(renn):
    blood = receive(renn, make_case(), taken_at=None, label_time="none", origin="after death")
    assert blood.item.collected_at is None
    assert blood.origin_words.startswith("taken after death by others")


NOW = MOMENT + timedelta(days=1)


@pytest.mark.parametrize(
    ("fields", "wrong"),
    [
        ({}, set()),
        ({"origin": "office"}, {"origin"}),
        ({"origin": ""}, {"origin"}),
        ({"taken_at": RECEIVED}, set()),
        ({"taken_at": RECEIVED + timedelta(minutes=1)}, {"taken_at"}),
        ({"pronounced_at": TAKEN}, set()),
        ({"pronounced_at": TAKEN - timedelta(minutes=1)}, {"taken_at"}),
        ({"pronounced_at": TAKEN - timedelta(minutes=1), "origin": "after death"}, set()),
        ({"pronounced_at": TAKEN - timedelta(minutes=1), "taken_at": None}, set()),
        ({"sealed_at": RECEIVED}, {"sealed_at"}),
        ({"sealed_at": RECEIVED + timedelta(minutes=1)}, set()),
        ({"sealed_at": NOW + timedelta(minutes=1)}, {"sealed_at"}),
        ({"received_at": NOW + timedelta(minutes=1)}, {"received_at"}),
    ],
)
def test_times_follow_each_other(fields, wrong):
    said = {
        "origin": "before death", "taken_at": TAKEN, "received_at": RECEIVED, "sealed_at": None,
        "pronounced_at": None, "now": NOW, **fields,
    }  # fmt: skip
    try:
        kinds.check_received(**said)
        found = set()
    except Invalid as error:
        found = set(error.errors)
    assert found == wrong


@pytest.mark.parametrize(
    ("fields", "field"),
    [
        ({"taken_by": ""}, "__all__"),
        ({"received_from": " "}, "__all__"),
        ({"received_at": None}, "received_at"),
        ({"sealed_at": None}, "sealed_at"),
        ({"seal_number": ""}, "seal_number"),
        ({"received_place": ""}, "received_place"),
        ({"received_from": "D. Renn"}, "__all__"),
        ({"received_at": timezone.now() + timedelta(days=1)}, "received_at"),
    ],
)
def test_what_lacks_its_origin_is_refused_as_a_whole(renn, fields, field):
    with pytest.raises((Invalid, Refused)) as refused:
        receive(renn, make_case(), **fields)
    error = refused.value
    assert field in (getattr(error, "errors", None) or {error.field: ""})
    assert not Item.objects.exists()


def test_after_the_pronouncement_nothing_is_taken_before_death(renn):
    case = make_case()
    ReportOfDeath.objects.create(
        case=case, caller_name="A. Teal", called_at=MOMENT, created_by=renn, changed_by=renn,
        pronounced_at=TAKEN - timedelta(minutes=1),
    )  # fmt: skip
    with pytest.raises(Invalid) as refused:
        receive(renn, case)
    assert set(refused.value.errors) == {"taken_at"}


def test_the_same_twice_is_one_and_only_who_takes_specimens_receives_them(renn):
    case, key = make_case(), new_id()
    assert receive(renn, case, record_id=key).pk == receive(renn, case, record_id=key).pk
    assert Item.objects.count() == Transfer.objects.count() == 1
    with pytest.raises(Conflict):
        receive(renn, case, record_id=key, label_time="none")
    for said in ({"seal_number": "TC 9"}, {"received_place": "Scene"},
                 {"received_at": TAKEN + timedelta(hours=3)}, {"taken_at": None}):  # fmt: skip
        with pytest.raises(Conflict):
            receive(renn, case, record_id=key, **said)
    with pytest.raises(NotAllowed):
        receive(make_staff(Role.INVESTIGATOR), case, seal_number="TC 9")


def test_whose_it_is_is_corrected_for_those_of_others_only(renn):
    case = make_case()
    blood, own = receive(renn, case), take(renn, case)
    for specimen, said in ((blood, "Ward 5"), (own, "")):
        actions.describe_specimen(
            renn, case_id=case.pk, specimen_id=specimen.pk, version=1,
            entry={"taken_by": "Ward 5", "site": "Arm"}, reason="read again",
        )  # fmt: skip
        assert Specimen.objects.get(pk=specimen.pk).taken_by == said


def test_the_page_and_the_api_receive(client, renn):
    case = make_case()
    client.force_login(renn)
    keys = {"case_id": case.pk}
    page = reverse("evidence:specimen-receive", kwargs=keys)
    assert client.get(page).status_code == 200
    form = {
        **HOSPITAL, "record_id": str(new_id()), "version": "0", "came_sealed": "",
        "taken_at": "2026-11-13T21:40", "received_at": "2026-11-14T12:00",
        "sealed_at": "2026-11-14T12:10", "amount": "", "unit": "",
    }  # fmt: skip
    for missing in ("origin", "taken_by", "taken_where", "label_time", "received_from"):
        answer = client.post(page, {**form, missing: ""})
        assert answer.status_code == 422
        assert missing in answer.context["form"].errors
    assert client.post(page, form).status_code == 302
    specimen = Specimen.objects.get()
    text = client.get(reverse("evidence:specimens", kwargs=keys)).content.decode()
    assert "Taken before death by others" in text
    item = reverse("custody:item", kwargs={**keys, "item_id": specimen.item_id})
    assert "Time on the label: 11/13 2140" in client.get(item).content.decode()
    one = reverse("evidence:specimen", kwargs={**keys, "specimen_id": specimen.pk})
    assert "Time on the label" in client.get(one).content.decode()

    body = {**HOSPITAL, "id": str(new_id()), "seal_number": "TC 777"}
    made = client.post(
        f"/api/cases/{case.pk}/specimens/received/", json.dumps(body, default=str),
        "application/json",
    )  # fmt: skip
    assert made.status_code == 201, made.content
    assert made.json()["origin"] == "before death"


def test_the_table_keeps_whose_it_is(renn):
    blood = receive(renn, make_case())
    with (
        pytest.raises(Exception, match="specimen_of_others_says_whose"),
        connection.cursor() as one,
    ):
        one.execute("UPDATE evidence_specimen SET taken_by = '' WHERE id = %s", [blood.pk])
