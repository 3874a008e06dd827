"""The body's receipt, identification, and what is known of the decedent."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.utils import timezone

from cases import actions
from cases.models import BodyReceipt, Decedent, Identification
from me_office.accounts.roles import Role
from me_office.audit.errors import Conflict, Invalid, NotAllowed, Refused, StaleRecord
from me_office.audit.ids import new_id
from me_office.audit.models import AuditEvent
from tests.builders import make_case, make_staff
from tests.cases.entries import ago, received

pytestmark = pytest.mark.django_db


def step(**said):
    return {
        "identity": "tentative", "method": "documents", "made_by": "L. Quill",
        "made_at": ago(hours=3), "basis": "License in the coat.",
    } | said  # fmt: skip


def identify(case, *, actor=None, **said):
    return actions.record_identification(
        actor or make_staff(Role.PATHOLOGIST),
        case_id=case.pk,
        record_id=new_id(),
        entry=step(**said),
    )


def identity_of(case) -> str:
    return Decedent.objects.get(case=case).identity


def test_a_body_is_received_by_whoever_enters_it():
    renn, case = make_staff(Role.EVIDENCE_TECHNICIAN, name="D. Renn"), make_case()
    receipt = actions.receive_body(renn, case_id=case.pk, version=0, entry=received())
    assert receipt.received_by == renn
    event = AuditEvent.objects.get(table="cases_bodyreceipt")
    assert (event.actor_name, event.act, event.case_id) == ("D. Renn", "receive_body", case.pk)


def test_a_receipt_is_changed_once_read_and_sent_twice_is_one():
    renn, case, key = make_staff(Role.EVIDENCE_TECHNICIAN), make_case(), new_id()
    call = {"case_id": case.pk, "version": 0, "record_id": key, "entry": received()}
    actions.receive_body(renn, **call)
    actions.receive_body(renn, **call)
    assert BodyReceipt.objects.count() == 1
    with pytest.raises(Conflict):
        actions.receive_body(renn, **(call | {"entry": received(tag_number="T-9")}))
    with pytest.raises(StaleRecord):
        actions.receive_body(renn, **(call | {"version": 3}))
    changed = actions.receive_body(
        renn, case_id=case.pk, version=1, entry={"kept_at": "Cooler 1, place 2"}
    )
    assert (changed.kept_at, changed.received_by) == ("Cooler 1, place 2", renn)


def test_a_receipt_is_refused_by_role_state_and_rule():
    renn = make_staff(Role.EVIDENCE_TECHNICIAN)
    with pytest.raises(NotAllowed):
        actions.receive_body(
            make_staff(Role.PATHOLOGIST), case_id=make_case().pk, version=0, entry=received()
        )
    with pytest.raises(NotAllowed):
        actions.receive_body(
            renn, case_id=make_case(state="reported").pk, version=0, entry=received()
        )
    case = make_case()
    with pytest.raises(Invalid) as unsealed:
        actions.receive_body(renn, case_id=case.pk, version=0, entry=received(seal_number=""))
    assert "seal's number" in str(unsealed.value.errors)
    with pytest.raises(Invalid) as ahead:
        actions.receive_body(
            renn, case_id=case.pk, version=0,
            entry=received(received_at=timezone.now() + timedelta(hours=1)),
        )  # fmt: skip
    assert "received_at" in ahead.value.errors


def test_the_latest_standing_step_says_how_far_identity_is_established():
    case = make_case()
    identify(case, made_at=ago(hours=5))
    assert identity_of(case) == "tentative"
    confirmed = identify(case, identity="confirmed", method="dental", made_at=ago(hours=2))
    assert identity_of(case) == "confirmed"
    identify(case, identity="tentative", method="visual", made_at=ago(hours=4))
    assert identity_of(case) == "confirmed", "an earlier step does not overtake a later one"
    actions.void_identification(
        make_staff(Role.PATHOLOGIST), record_id=confirmed.pk, version=1, reason="wrong films"
    )
    assert identity_of(case) == "tentative"


def test_identity_is_unknown_again_when_no_step_stands():
    case, vasko = make_case(), make_staff(Role.PATHOLOGIST, name="Dr. I. Vasko")
    only = identify(case, actor=vasko)
    actions.void_identification(vasko, record_id=only.pk, version=1, reason="another person's")
    assert identity_of(case) == "unknown"
    event = AuditEvent.objects.filter(table="cases_decedent").last()
    assert event.changes["identity"] == ["tentative", "unknown"]
    assert (event.actor_name, event.act, event.reason) == (
        "Dr. I. Vasko", "void_identification", "another person's",
    )  # fmt: skip


def test_a_changed_step_counts_as_changed():
    case, vasko = make_case(), make_staff(Role.PATHOLOGIST)
    made = identify(case, actor=vasko)
    actions.record_identification(
        vasko, case_id=case.pk, record_id=made.pk, version=1,
        entry=step(identity="confirmed", method="fingerprints"),
    )  # fmt: skip
    assert identity_of(case) == "confirmed"


@pytest.mark.parametrize(
    ("said", "field"),
    [
        ({"identity": "confirmed", "method": "none"}, "method"),
        ({"identity": "tentative", "method": "none"}, "method"),
        ({"made_at": None}, "made_at"),
        ({"made_by": ""}, "made_by"),
    ],
)
def test_a_step_that_cannot_stand_says_which_field(said, field):
    with pytest.raises(Invalid) as caught:
        identify(make_case(), **said)
    assert field in caught.value.errors


def test_identity_is_not_confirmed_without_a_name():
    case = make_case(family_name="", given_names="")
    with pytest.raises(Invalid) as caught:
        identify(case, identity="confirmed", method="dental")
    assert "identity" in caught.value.errors


def test_a_step_is_refused_by_role_stale_and_sent_twice_is_one():
    case, vasko, key = make_case(), make_staff(Role.PATHOLOGIST), new_id()
    call = {"case_id": case.pk, "record_id": key, "entry": step()}
    with pytest.raises(NotAllowed):
        actions.record_identification(make_staff(Role.RECORDS_CLERK), **call)
    actions.record_identification(vasko, **call)
    actions.record_identification(vasko, **call)
    assert Identification.objects.count() == 1
    with pytest.raises(StaleRecord):
        actions.record_identification(vasko, version=2, **call)
    with pytest.raises(NotAllowed):
        actions.void_identification(
            make_staff(Role.RECORDS_CLERK), record_id=key, version=1, reason="no"
        )


def test_describing_the_decedent_keeps_what_is_searched():
    case = make_case(family_name="", given_names="")
    quill = make_staff(Role.INVESTIGATOR, name="L. Quill")
    entry = {"family_name": "Hallstead", "given_names": "Oren", "also_known_as": "Miller",
             "working_name": "Unknown man, weir"}  # fmt: skip
    saved = actions.describe_decedent(quill, case_id=case.pk, version=1, entry=entry)
    assert saved.search_name == "Oren Hallstead Miller Unknown man, weir"
    event = AuditEvent.objects.filter(table="cases_decedent").last()
    assert (event.actor_name, event.changes["family_name"]) == ("L. Quill", ["", "Hallstead"])


def test_a_description_is_refused_by_role_stale_and_by_rule():
    case = make_case()
    quill = make_staff(Role.INVESTIGATOR)
    call = {"case_id": case.pk, "entry": {"sex": "male"}}
    with pytest.raises(NotAllowed):
        actions.describe_decedent(make_staff(Role.RECORDS_CLERK), version=1, **call)
    with pytest.raises(StaleRecord):
        actions.describe_decedent(quill, version=3, **call)
    with pytest.raises(Invalid) as old:
        actions.describe_decedent(quill, case_id=case.pk, version=1, entry={"age_years": 140})
    assert old.value.errors
    tomorrow = timezone.localdate() + timedelta(days=1)
    with pytest.raises(Invalid) as unborn:
        actions.describe_decedent(quill, case_id=case.pk, version=1, entry={"born_on": tomorrow})
    assert "born_on" in unborn.value.errors


def test_a_confirmed_name_is_not_emptied():
    case = make_case()
    identify(case, identity="confirmed", method="dental")
    with pytest.raises(Invalid):
        actions.describe_decedent(
            make_staff(Role.INVESTIGATOR), case_id=case.pk, version=2,
            entry={"family_name": "", "given_names": ""},
        )  # fmt: skip


def test_identity_cannot_be_set_past_its_steps():
    case = make_case()
    actions.describe_decedent(
        make_staff(Role.INVESTIGATOR), case_id=case.pk, version=1, entry={"identity": "confirmed"}
    )
    assert identity_of(case) == "unknown"


def test_a_voided_step_is_not_changed():
    case, vasko = make_case(), make_staff(Role.PATHOLOGIST)
    made = identify(case, actor=vasko)
    actions.void_identification(vasko, record_id=made.pk, version=1, reason="wrong person")
    with pytest.raises(Refused):
        actions.record_identification(
            vasko, case_id=case.pk, record_id=made.pk, version=2, entry=step()
        )
