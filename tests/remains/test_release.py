"""A body is held, released, comes back: by whom, when, in which order."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.utils import timezone

from cases import actions as case_actions
from cases.models import Case
from cases.remains import actions, queries
from cases.remains.models import BodyHold, BodyRelease, BodyReturn
from me_office.accounts.roles import Role
from me_office.audit.errors import Conflict, Invalid, NotAllowed, NotKnown, Refused, StaleRecord
from me_office.audit.ids import new_id
from me_office.audit.models import AuditEvent
from tests.builders import make_case, make_staff
from tests.cases.entries import ago
from tests.remains.builders import (
    body_in,
    bring_back,
    coming_back,
    hold,
    leaving,
    release,
    sign,
    technician,
)

pytestmark = pytest.mark.django_db


def since(case: Case):
    return Case.objects.get(pk=case.pk).body_in_since


def test_a_body_is_in_the_office_from_its_receipt_to_its_release():
    renn, case = technician(), body_in(hours=72)
    assert since(case) == ago(hours=72)
    made = release(case, renn)
    assert (made.released_by, made.stay, since(case)) == (renn, 1, None)
    event = AuditEvent.objects.get(table="remains_bodyrelease")
    assert (event.actor_name, event.act, event.case_id) == ("D. Renn", "release_body", case.pk)


def test_a_corrected_receipt_moves_the_stay_until_the_body_is_gone():
    renn, case = technician(), body_in(hours=72)
    call = {"case_id": case.pk, "entry": {"received_at": ago(hours=70)}}
    case_actions.receive_body(renn, version=1, **call)
    assert since(case) == ago(hours=70)
    release(case, released_at=ago(hours=5))
    with pytest.raises(Invalid) as late:
        case_actions.receive_body(
            renn, case_id=case.pk, version=2, entry={"received_at": ago(hours=4)}
        )
    assert "received_at" in late.value.errors
    case_actions.receive_body(
        renn, case_id=case.pk, version=2, entry={"received_at": ago(hours=71)}
    )
    assert since(case) is None, "a corrected receipt does not bring a released body back"


def test_a_body_leaves_only_once_and_only_after_it_came():
    with pytest.raises(Refused, match="not been received"):
        release(make_case())
    case = body_in(hours=6)
    with pytest.raises(Invalid) as early:
        release(case, released_at=ago(hours=7))
    assert "released_at" in early.value.errors
    with pytest.raises(Invalid) as ahead:
        release(case, released_at=timezone.now() + timedelta(hours=1))
    assert "released_at" in ahead.value.errors
    release(case)
    with pytest.raises(Refused, match="already released"):
        release(case)


def test_a_body_comes_back_for_an_exhumation_and_leaves_again():
    case = body_in(hours=90)
    with pytest.raises(Refused, match="was not released"):
        bring_back(case)
    release(case, released_at=ago(hours=50))
    with pytest.raises(Invalid) as early:
        bring_back(case, returned_at=ago(hours=51))
    assert "returned_at" in early.value.errors
    back = bring_back(case, returned_at=ago(hours=20))
    assert (back.stay, since(case)) == (2, ago(hours=20))
    with pytest.raises(Invalid) as old_tag:
        release(case, tag_number="T-118", released_at=ago(hours=2))
    assert "T-203" in str(old_tag.value.errors["tag_number"])
    gone = release(case, tag_number="T-203", released_at=ago(hours=2))
    assert (gone.stay, since(case)) == (2, None)
    assert [(stay.number, stay.is_return) for stay in queries.stays_of(case)] == [
        (1, False), (2, True),
    ]  # fmt: skip
    with pytest.raises(Refused, match="never received"):
        bring_back(make_case())


def test_every_open_hold_keeps_the_body():
    case, lead = body_in(), make_staff(Role.INVESTIGATOR, name="A. Quist")
    first, second = hold(case), hold(case, kind="infection")
    with pytest.raises(Refused, match="2 holds are open"):
        release(case)
    with pytest.raises(Refused):
        actions.lift_hold(lead, case_id=case.pk, record_id=first.pk, version=1, reason=" ")
    lifted = actions.lift_hold(
        lead, case_id=case.pk, record_id=first.pk, version=1, reason="Det. Sorrel agreed"
    )
    assert (lifted.lifted_by, lifted.lifted_why, lifted.is_open) == (
        lead, "Det. Sorrel agreed", False,
    )  # fmt: skip
    with pytest.raises(Refused, match="A hold is open: risk of infection"):
        release(case)
    with pytest.raises(StaleRecord):
        actions.lift_hold(lead, case_id=case.pk, record_id=first.pk, version=1, reason="again")
    with pytest.raises(Refused, match="already lifted"):
        actions.lift_hold(lead, case_id=case.pk, record_id=first.pk, version=2, reason="again")
    with pytest.raises(Refused, match="was lifted"):
        actions.place_hold(
            lead, case_id=case.pk, record_id=first.pk, version=2, entry={"why": "still"}
        )
    actions.void_hold(lead, record_id=second.pk, version=1, reason="of another case")
    assert release(case).stay == 1


def test_a_hold_of_another_body_keeps_nothing_and_can_come_first():
    case, other = body_in(), body_in()
    hold(other)
    release(case)
    early = make_case()
    assert hold(early).is_open, "police may ask before the body is here"
    with pytest.raises(NotKnown):
        actions.lift_hold(
            make_staff(Role.SUPERVISOR),
            case_id=case.pk,
            record_id=BodyHold.objects.get(case=other).pk,
            version=1,
            reason="wrong case",
        )


def test_who_may_release_and_who_may_hold():
    case = body_in()
    for role in (Role.PATHOLOGIST, Role.RECORDS_CLERK, Role.ADMINISTRATOR):
        with pytest.raises((NotAllowed, NotKnown)):
            release(case, make_staff(role))
        with pytest.raises((NotAllowed, NotKnown)):
            bring_back(case, make_staff(role))
    with pytest.raises(NotAllowed):
        hold(case, technician())
    assert hold(case, make_staff(Role.PATHOLOGIST)).is_open


def test_all_of_it_goes_on_after_the_report_is_signed():
    case = body_in(hours=90)
    sign(case)
    placed = hold(case)
    actions.lift_hold(
        make_staff(Role.SUPERVISOR), case_id=case.pk, record_id=placed.pk, version=1, reason="done"
    )
    made = release(case, released_at=ago(hours=40))
    assert since(case) is None
    bring_back(case)
    changed = actions.release_body(
        technician(), case_id=case.pk, record_id=made.pk, version=1,
        entry={"receiver_license": "FH-222"}, reason="misread",
    )  # fmt: skip
    assert (changed.receiver_license, changed.version) == ("FH-222", 2)


def test_the_same_key_is_the_same_release_and_other_words_are_a_conflict():
    case, renn, key = body_in(), technician(), new_id()
    call = {"case_id": case.pk, "record_id": key, "entry": leaving()}
    made = actions.release_body(renn, **call)
    assert actions.release_body(renn, **call) == made
    with pytest.raises(Conflict):
        actions.release_body(renn, **(call | {"entry": leaving(taken_by="Somebody else")}))
    back = {"case_id": case.pk, "record_id": new_id(), "entry": coming_back()}
    returned = actions.return_body(renn, **back)
    assert actions.return_body(renn, **back) == returned
    assert (BodyRelease.objects.count(), BodyReturn.objects.count()) == (1, 1)


def test_a_correction_needs_a_reason_and_what_was_read():
    case, renn = body_in(), technician()
    made = release(case)
    call = {"case_id": case.pk, "record_id": made.pk}
    with pytest.raises(Refused):
        actions.release_body(renn, **call, version=1, entry={"taken_by": "J. Lowe"})
    with pytest.raises(StaleRecord):
        actions.release_body(renn, **call, version=3, entry={"taken_by": "J"}, reason="misread")
    with pytest.raises(Invalid) as wrong:
        actions.release_body(
            renn, **call, version=1, entry={"released_at": ago(hours=100)}, reason="misread"
        )
    assert "released_at" in wrong.value.errors


def test_only_the_latest_movement_is_withdrawn():
    case, renn = body_in(hours=90), technician()
    first = release(case, released_at=ago(hours=50))
    back = bring_back(case, returned_at=ago(hours=20))
    last = release(case, tag_number="T-203", released_at=ago(hours=2))
    mistake = {"version": 1, "reason": "of another case"}
    with pytest.raises(Refused, match="Void its return first"):
        actions.void_release(renn, record_id=first.pk, **mistake)
    with pytest.raises(Refused, match="Void that release first"):
        actions.void_return(renn, record_id=back.pk, **mistake)
    actions.void_release(renn, record_id=last.pk, **mistake)
    assert since(case) == ago(hours=20)
    actions.void_return(renn, record_id=back.pk, **mistake)
    assert since(case) is None
    actions.void_release(renn, record_id=first.pk, **mistake)
    assert since(case) == ago(hours=90)
    with pytest.raises(Refused):
        actions.release_body(
            renn, case_id=case.pk, record_id=first.pk, version=2, entry={}, reason="again"
        )


@pytest.mark.django_db(transaction=True)
def test_a_body_is_released_to_one_of_two_funeral_homes(at_once):
    case = body_in()
    entries = [leaving(released_to="Lowe & Daughter"), leaving(released_to="Ambry Brothers")]
    outcomes = at_once(
        actions.release_body,
        by=[technician(), technician()],
        each=[{"record_id": new_id(), "entry": entry} for entry in entries],
        case_id=case.pk,
        meet_after="cases.remains.actions.stays_of",
    )
    assert sorted(one.code for one in outcomes) == ["done", "refused"]
    assert BodyRelease.objects.count() == 1


def test_who_releases_is_not_the_second_reader_of_the_tag_also_not_by_a_correction():
    case = body_in()
    renn = technician()
    with pytest.raises(Invalid) as refused:
        release(case, renn, second_reader=f"{renn}, technician")
    assert set(refused.value.errors) == {"second_reader"}
    made = release(case, renn)
    with pytest.raises(Invalid):
        actions.release_body(
            renn, case_id=case.pk, record_id=made.pk, version=1, reason="Name read again",
            entry={"second_reader": str(renn).lower()},
        )  # fmt: skip
