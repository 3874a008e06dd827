"""Every change of a date in court: it works and leaves its event, or is refused."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.db import IntegrityError, transaction

from cases.appearances import actions
from cases.appearances.models import Appearance, AppearanceMove
from cases.packets.material import events_of
from me_office.accounts.roles import Role
from me_office.audit.errors import Conflict, Invalid, NotAllowed, NotKnown, Refused, StaleRecord
from me_office.audit.ids import new_id
from me_office.audit.models import AuditEvent
from tests.appearances.builders import appear, called, in_days, was_heard
from tests.builders import make_case, make_staff
from tests.cases.test_assignment import restricted_case
from tests.exhibits.builders import make_set
from tests.packets.builders import make_request

pytestmark = pytest.mark.django_db


def keys(one, **other):
    return {"case_id": one.case_id, "record_id": one.pk, "version": one.version, **other}


def test_a_date_is_recorded_in_a_signed_case_too_and_leaves_its_event(clerk, vasko):
    one = appear(clerk, make_case(state="signed"), vasko)
    assert (one.state, one.version, str(one)) == (
        "expected", 1, "Trial, Tarn County Superior Court",
    )  # fmt: skip
    event = AuditEvent.objects.get(table="appearances_appearance")
    assert (event.act, event.actor_name, event.case_id) == (
        "record_appearance", "R. Ostrander", one.case_id,
    )  # fmt: skip


def test_a_witness_keeps_their_own_dates_and_nobody_elses(vasko, clerk):
    case, other = make_case(), make_staff(Role.PATHOLOGIST)
    own = appear(vasko, case)
    with pytest.raises(NotAllowed):
        appear(vasko, case, other)
    of_other = appear(clerk, case, other)
    moved = {"begins_at": in_days(6)}
    for act in (
        lambda: actions.move_appearance(vasko, **keys(of_other), entry=moved, reason="why"),
        lambda: actions.cancel_appearance(vasko, **keys(of_other), reason="why"),
        lambda: actions.void_appearance(vasko, record_id=of_other.pk, version=1, reason="why"),
        lambda: actions.record_testimony(vasko, **keys(of_other), entry={}),
        # Nor is one's own handed to somebody else.
        lambda: actions.record_appearance(vasko, **keys(own), entry={"witness": other}),
    ):
        with pytest.raises(NotAllowed):
            act()


def test_a_witness_who_may_not_know_of_the_case_is_not_called(vasko):
    boss, other = make_staff(Role.SUPERVISOR), make_staff(Role.PATHOLOGIST)
    case = restricted_case(boss, vasko)
    assert appear(boss, case, vasko).witness == vasko
    with pytest.raises(Refused) as refused:
        appear(boss, case, other)
    assert refused.value.field == "witness"
    with pytest.raises(NotKnown):
        appear(other, case)


def test_what_cannot_be_so_is_said_by_field(clerk, vasko):
    with pytest.raises(Invalid) as refused:
        appear(clerk, make_case(), vasko, court="", leave_at=in_days(6))
    assert set(refused.value.errors) == {"court", "leave_at"}
    with transaction.atomic(), pytest.raises(IntegrityError):
        one = appear(clerk, make_case(), vasko)
        Appearance.objects.filter(pk=one.pk).update(leave_at=one.begins_at + timedelta(minutes=1))


def test_the_request_and_the_set_are_of_this_case(clerk, vasko):
    case, elsewhere = make_case(), make_case()
    for name, foreign in (
        ("request", make_request(elsewhere, clerk)),
        ("exhibit_set", make_set(clerk, elsewhere)),
    ):
        with pytest.raises(Refused) as refused:
            appear(clerk, case, vasko, **{name: foreign})
        assert refused.value.field == name


def test_the_same_twice_is_one_record_and_other_content_a_conflict(clerk, vasko):
    case, key = make_case(), new_id()
    given = {"case_id": case.pk, "record_id": key, "entry": called(vasko)}
    first = actions.record_appearance(clerk, **given)
    actions.cancel_appearance(clerk, **keys(first), reason="settled")
    assert actions.record_appearance(clerk, **given).pk == first.pk
    with pytest.raises(Conflict):
        actions.record_appearance(
            clerk, case_id=case.pk, record_id=key, entry=called(vasko, place="Elsewhere")
        )


def test_moving_keeps_the_earlier_date_and_may_be_done_again(clerk, vasko):
    one = appear(clerk, make_case(state="signed"), vasko)
    first = one.begins_at
    one = actions.move_appearance(
        clerk, **keys(one), entry={"begins_at": in_days(8)}, reason="The judge is away"
    )
    one = actions.move_appearance(
        clerk, **keys(one), entry={"begins_at": in_days(9), "place": "Room 4"}, reason="Again"
    )
    assert (one.state, one.begins_at, one.place) == ("moved", in_days(9), "Room 4")
    earlier = AppearanceMove.objects.filter(appearance=one).order_by("created_at")
    assert [(each.began_at, each.why) for each in earlier] == [
        (first, "The judge is away"), (in_days(8), "Again"),
    ]  # fmt: skip
    with pytest.raises(Refused):
        actions.move_appearance(clerk, **keys(one), entry={"begins_at": in_days(9)}, reason="no")
    with pytest.raises(Refused):
        actions.move_appearance(clerk, **keys(one), entry={"begins_at": in_days(10)}, reason=" ")


def test_a_correction_does_not_move_it(clerk, vasko):
    one = appear(clerk, make_case(), vasko)
    changed = actions.record_appearance(clerk, **keys(one), entry={"place": "Room 7"})
    assert (changed.place, changed.version) == ("Room 7", 2)
    with pytest.raises(Refused) as refused:
        actions.record_appearance(clerk, **keys(changed), entry={"begins_at": in_days(9)})
    assert refused.value.field == "begins_at"
    with pytest.raises(StaleRecord):
        actions.record_appearance(clerk, **keys(changed, version=1), entry={"place": "Room 8"})


def test_what_is_canceled_or_over_is_no_longer_changed(clerk, vasko):
    case = make_case()
    gone = actions.cancel_appearance(clerk, **keys(appear(clerk, case, vasko)), reason="settled")
    done = was_heard(clerk, case, witness=vasko)
    assert (gone.state, gone.canceled_why, done.state) == ("canceled", "settled", "done")
    for one in (gone, done):
        for act in (
            lambda one=one: actions.record_appearance(clerk, **keys(one), entry={"place": "X"}),
            lambda one=one: actions.cancel_appearance(clerk, **keys(one), reason="why"),
            lambda one=one: actions.move_appearance(
                clerk, **keys(one), entry={"begins_at": in_days(9)}, reason="why"
            ),
        ):
            with pytest.raises(Refused):
                act()
    with pytest.raises(Refused):
        actions.record_testimony(clerk, **keys(gone), entry={"went": "well"})


def test_how_it_went_is_said_once_over_and_corrected_with_a_reason(clerk, vasko):
    case = make_case(state="signed")
    with pytest.raises(Refused):
        actions.record_testimony(vasko, **keys(appear(clerk, case, vasko)), entry={})
    done = was_heard(vasko, case, went="Asked about the ladder.", asked_afterward="Exhibit 9")
    assert (done.state, done.stand_words, done.asked_afterward) == (
        "done", "1 h 20 min", "Exhibit 9",
    )  # fmt: skip
    with pytest.raises(Refused):
        actions.record_testimony(vasko, **keys(done), entry={"stand_minutes": 90})
    again = actions.record_testimony(
        vasko, **keys(done), entry={"stand_minutes": 90}, reason="misread"
    )
    assert (again.stand_words, again.went) == ("1 h 30 min", "Asked about the ladder.")


def test_a_voided_one_is_left_alone(clerk, vasko):
    one = appear(clerk, make_case(), vasko)
    gone = actions.void_appearance(clerk, record_id=one.pk, version=1, reason="entered twice")
    assert gone.is_voided
    with pytest.raises(Refused):
        actions.record_appearance(clerk, **keys(gone), entry={"place": "X"})


def test_no_released_history_holds_what_the_office_keeps_on_its_dates(clerk, vasko):
    case = make_case(state="signed")
    make_request(case, clerk)
    one = was_heard(vasko, case, went="I hesitated at the third picture.")
    moved = appear(clerk, case, vasko)
    actions.move_appearance(clerk, **keys(moved), entry={"begins_at": in_days(8)}, reason="away")
    told = events_of(case.pk)
    assert {"court_recordsrequest"} <= {event["table"] for event in told}
    assert not {event["table"] for event in told if event["table"].startswith("appearances_")}
    assert "hesitated" not in str(told)
    assert AuditEvent.objects.filter(record_id=str(one.pk)).count() == 2
