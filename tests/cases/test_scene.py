"""The scene and what is listed with it."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.utils import timezone

from cases import actions
from cases.models import Medication, Person, Place, Scene, SceneReading
from cases.rules.lividity import ASKS
from me_office.accounts.roles import Role
from me_office.audit.errors import Conflict, Invalid, NotAllowed, NotKnown, Refused, StaleRecord
from me_office.audit.ids import new_id
from me_office.audit.models import AuditEvent
from tests.builders import make_case, make_staff
from tests.cases.entries import ago, seen_at_scene

pytestmark = pytest.mark.django_db

READING = {"kind": "rectal", "value_c": "31.2", "read_at": None, "method": "Probe 3"}
MEDICINE = {"name": "Lisinopril", "strength": "10 mg", "quantity_found": 12}
PERSON = {"part": "next of kin", "name": "Mara Hallstead", "relation": "sister"}
PLACE = {"kind": "moved", "address": "Mill Street 3", "told_by": "R. Orme"}
KINDS = {
    "place": (actions.record_place, actions.void_place, Place, PLACE),
    "reading": (actions.record_reading, actions.void_reading, SceneReading, READING),
    "medication": (actions.record_medication, actions.void_medication, Medication, MEDICINE),
    "person": (actions.record_person, actions.void_person, Person, PERSON),
}


def entry_of(kind: str, **said):
    entry = dict(KINDS[kind][3])
    if "read_at" in entry:
        entry["read_at"] = ago(hours=3)
    return entry | said


def test_the_scene_is_recorded_then_changed_and_leaves_both():
    quill, case = make_staff(Role.INVESTIGATOR, name="L. Quill"), make_case()
    scene = actions.record_scene(quill, case_id=case.pk, version=0, entry=seen_at_scene())
    changed = actions.record_scene(
        quill, case_id=case.pk, version=1, entry={"position": "prone"}, reason="seen again"
    )
    assert (changed.pk, changed.version, changed.clothing) == (scene.pk, 2, "Work coat, boots.")
    event = AuditEvent.objects.filter(table="cases_scene").last()
    assert event.changes["position"] == ["supine", "prone"]
    assert (event.actor_name, event.act, event.reason) == ("L. Quill", "record_scene", "seen again")


def test_a_scene_of_a_reported_case_can_be_recorded_but_not_of_a_signed_one():
    quill = make_staff(Role.INVESTIGATOR)
    actions.record_scene(
        quill, case_id=make_case(state="reported").pk, version=0, entry=seen_at_scene()
    )
    with pytest.raises(NotAllowed, match="addendum"):
        actions.record_scene(
            quill, case_id=make_case(state="signed").pk, version=0, entry=seen_at_scene()
        )


def test_the_same_scene_sent_twice_is_one():
    quill, case, key = make_staff(Role.INVESTIGATOR), make_case(), new_id()
    call = {"case_id": case.pk, "version": 0, "record_id": key, "entry": seen_at_scene()}
    assert actions.record_scene(quill, **call).pk == actions.record_scene(quill, **call).pk
    with pytest.raises(Conflict):
        actions.record_scene(quill, **(call | {"entry": seen_at_scene(hazards="dust")}))


def test_a_second_person_who_saw_no_scene_is_shown_what_stands():
    case = make_case()
    first = actions.record_scene(
        make_staff(Role.INVESTIGATOR), case_id=case.pk, version=0, entry=seen_at_scene()
    )
    with pytest.raises(StaleRecord) as caught:
        actions.record_scene(
            make_staff(Role.SUPERVISOR),
            case_id=case.pk,
            version=0,
            entry=seen_at_scene(rigor="full"),
        )
    assert caught.value.record.pk == first.pk
    assert caught.value.record.rigor == "beginning"


def test_a_scene_is_refused_by_role_stale_and_by_rule():
    case, quill = make_case(), make_staff(Role.INVESTIGATOR)
    call = {"case_id": case.pk, "entry": seen_at_scene()}
    with pytest.raises(NotAllowed):
        actions.record_scene(make_staff(Role.PATHOLOGIST), version=0, **call)
    with pytest.raises(NotKnown):
        actions.record_scene(quill, version=3, **call)
    for wrong in (
        {"left_at": ago(hours=9)},
        {"lividity_seen_at": timezone.now() + timedelta(days=1)},
        {"address": ""},
    ):
        with pytest.raises(Invalid) as caught:
            actions.record_scene(quill, case_id=case.pk, version=0, entry=seen_at_scene(**wrong))
        assert set(caught.value.errors) & {*wrong, "__all__"}
    actions.record_scene(quill, version=0, **call)
    with pytest.raises(StaleRecord):
        actions.record_scene(quill, version=5, **call)
    assert Scene.objects.count() == 1


@pytest.mark.parametrize("kind", KINDS)
def test_an_entry_is_recorded_changed_and_voided_with_who_and_why(kind):
    record, void, model, _ = KINDS[kind]
    quill, case, key = make_staff(Role.INVESTIGATOR, name="L. Quill"), make_case(), new_id()
    made = record(quill, case_id=case.pk, record_id=key, entry=entry_of(kind))
    changed = record(quill, case_id=case.pk, record_id=key, version=1, entry=entry_of(kind))
    voided = void(quill, record_id=key, version=2, reason="belongs to another case")
    assert (made.version, changed.version, voided.version) == (1, 2, 3)
    assert voided.is_voided
    assert not model.objects.active().exists()
    event = AuditEvent.objects.filter(record_id=str(key)).last()
    assert (event.actor_name, event.reason) == ("L. Quill", "belongs to another case")
    assert event.case_id == case.pk


@pytest.mark.parametrize("kind", KINDS)
def test_an_entry_sent_twice_is_one_and_its_key_is_its_own(kind):
    record, _, model, _ = KINDS[kind]
    quill, case, key = make_staff(Role.INVESTIGATOR), make_case(), new_id()
    entry = entry_of(kind)
    record(quill, case_id=case.pk, record_id=key, entry=entry)
    record(quill, case_id=case.pk, record_id=key, entry=entry)
    assert model.objects.count() == 1
    with pytest.raises(Conflict):
        record(quill, case_id=make_case().pk, record_id=key, entry=entry)
    with pytest.raises(NotKnown):
        record(quill, case_id=make_case().pk, record_id=key, version=1, entry=entry)


@pytest.mark.parametrize("kind", KINDS)
def test_an_entry_is_refused_by_role_stale_and_once_voided(kind):
    record, void, _, _ = KINDS[kind]
    quill, case, key = make_staff(Role.INVESTIGATOR), make_case(), new_id()
    call = {"case_id": case.pk, "record_id": key, "entry": entry_of(kind)}
    with pytest.raises(NotAllowed):
        record(make_staff(Role.RECORDS_CLERK), **call)
    record(quill, **call)
    with pytest.raises(StaleRecord):
        record(quill, version=4, **call)
    with pytest.raises(NotAllowed):
        void(make_staff(Role.RECORDS_CLERK), record_id=key, version=1, reason="not mine")
    with pytest.raises(StaleRecord):
        void(quill, record_id=key, version=4, reason="twice")
    with pytest.raises(Refused):
        void(quill, record_id=key, version=1, reason="")
    void(quill, record_id=key, version=1, reason="entered twice")
    with pytest.raises(Refused):
        record(quill, version=2, **call)
    with pytest.raises(Refused):
        void(quill, record_id=key, version=2, reason="again")
    with pytest.raises(NotKnown):
        void(quill, record_id=new_id(), version=1, reason="no such record")


def test_a_temperature_that_cannot_be_is_refused_beside_the_form():
    with pytest.raises(Invalid) as caught:
        actions.record_reading(
            make_staff(Role.INVESTIGATOR), case_id=make_case().pk, record_id=new_id(),
            entry=entry_of("reading", value_c="310"),
        )  # fmt: skip
    assert "Between −60 and 120 °C." in str(caught.value.errors)


def test_next_of_kin_are_notified_by_whoever_says_so():
    quill, case = make_staff(Role.INVESTIGATOR), make_case()
    person = actions.record_person(
        quill, case_id=case.pk, record_id=new_id(),
        entry=entry_of("person", notified_at=ago(hours=1), notified_by=None),
    )  # fmt: skip
    assert person.notified_by == quill
    with pytest.raises(Invalid) as caught:
        actions.record_person(
            quill, case_id=case.pk, record_id=new_id(), entry=entry_of("person", notified_by=quill)
        )
    assert "notified_at" in caught.value.errors


def test_every_position_is_compared_with_lividity_or_left_out_on_purpose():
    offered = {key for key, _ in Scene.POSITIONS if key}
    assert offered - set(ASKS) == {"seated leaning", "in water", "in a vehicle", "other"}
    assert set(ASKS) <= offered
    assert {"not tested", "cannot be judged"} <= {key for key, _ in Scene.BLANCHING}


def test_the_same_temperature_of_the_same_minute_is_asked_about():
    quill, case = make_staff(Role.INVESTIGATOR), make_case()
    at = ago(hours=3)

    def put(key=None, version=0, **said):
        return actions.record_reading(
            quill, case_id=case.pk, record_id=key or new_id(), version=version,
            entry={"kind": "rectal", "value_c": "31.2", "read_at": at, "method": ""} | said,
        )  # fmt: skip

    key = new_id()
    first = put(key)
    assert put(key) == first, "a retried request is no second reading"
    with pytest.raises(Refused, match="already recorded") as asked:
        put(read_at=at.replace(second=41))
    assert asked.value.field == "method"
    second = put(method="Probe 3")
    put(value_c="31.3"), put(kind="liver"), put(read_at=at - timedelta(minutes=1))
    with pytest.raises(Refused):
        put(method="  probe 3 ")
    assert SceneReading.objects.count() == 5
    with pytest.raises(Refused):
        put(second.pk, version=1, method="")
    actions.void_reading(quill, record_id=first.pk, version=1, reason="twice")
    assert put(second.pk, version=1, method="").version == 2
