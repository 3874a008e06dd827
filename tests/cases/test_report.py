"""The first call: logged once, corrected with a reason."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.utils import timezone

from cases import actions
from cases.models import Case, Decedent, ReportOfDeath
from cases.rules.intake import lacking_in_time, wrong_in_report
from me_office.accounts.roles import Role
from me_office.audit.errors import Conflict, Invalid, NotAllowed, Refused, StaleRecord
from me_office.audit.ids import new_id
from me_office.audit.models import AuditEvent
from tests.builders import make_case, make_staff
from tests.cases.entries import ago, first_call, logged_case

pytestmark = pytest.mark.django_db


def test_a_first_call_makes_case_decedent_and_report():
    quill = make_staff(Role.INVESTIGATOR, name="L. Quill")
    case = actions.log_report_of_death(quill, record_id=new_id(), entry=first_call())
    case.refresh_from_db()
    assert (case.state, case.number) == ("reported", None)
    assert case.reported_at == case.report_of_death.called_at
    assert case.place_of_death == "Mill Road 3, Tarnford"
    assert case.investigator == quill
    assert case.decedent.full_name == "Oren Hallstead"
    assert case.decedent.search_name == "Oren Hallstead"
    assert case.decedent.identity == "unknown"


def test_a_first_call_leaves_who_and_what():
    quill = make_staff(Role.INVESTIGATOR, name="L. Quill")
    case = actions.log_report_of_death(quill, record_id=new_id(), entry=first_call())
    events = AuditEvent.objects.filter(case_id=case.pk)
    assert {event.table for event in events} == {
        "cases_case", "cases_decedent", "cases_reportofdeath"
    }  # fmt: skip
    assert {(event.actor_name, event.act) for event in events} == {
        ("L. Quill", "log_report_of_death")
    }


@pytest.mark.parametrize("role", [Role.PATHOLOGIST, Role.RECORDS_CLERK, Role.ADMINISTRATOR])
def test_others_do_not_log_reports(role):
    with pytest.raises(NotAllowed):
        actions.log_report_of_death(make_staff(role), record_id=new_id(), entry=first_call())
    assert not Case.objects.exists()


def test_the_same_report_twice_is_one_case():
    quill, key, entry = make_staff(Role.INVESTIGATOR), new_id(), first_call()
    first = actions.log_report_of_death(quill, record_id=key, entry=entry)
    again = actions.log_report_of_death(quill, record_id=key, entry=entry)
    assert first.pk == again.pk
    counts = [model.objects.count() for model in (Case, Decedent, ReportOfDeath)]
    assert counts == [1, 1, 1]


def test_the_same_report_is_known_again_after_jurisdiction_was_decided():
    quill, key, entry = make_staff(Role.INVESTIGATOR), new_id(), first_call()
    actions.log_report_of_death(quill, record_id=key, entry=entry)
    actions.accept_jurisdiction(quill, case_id=key, version=1, reason="unattended")
    assert actions.log_report_of_death(quill, record_id=key, entry=entry).number


def test_the_same_key_for_another_report_is_a_conflict():
    quill, key = make_staff(Role.INVESTIGATOR), new_id()
    entry = first_call()
    actions.log_report_of_death(quill, record_id=key, entry=entry)
    with pytest.raises(Conflict):
        actions.log_report_of_death(
            quill, record_id=key, entry=entry | {"circumstances": "something else"}
        )


def test_two_twin_requests_at_once_make_one_case(at_once):
    quill = make_staff(Role.INVESTIGATOR)
    results = at_once(
        actions.log_report_of_death, by=[quill, quill], record_id=new_id(), entry=first_call()
    )
    assert [result.code for result in results] == ["done", "done"]
    assert Case.objects.count() == 1


def test_without_the_reserved_key_twin_requests_collide(at_once, monkeypatch):
    monkeypatch.setattr("cases.queries.reserve_key", lambda key: None)
    quill = make_staff(Role.INVESTIGATOR)
    results = at_once(
        actions.log_report_of_death, by=[quill, quill], record_id=new_id(), entry=first_call(),
        meet_after="cases.queries.reserve_key",
    )  # fmt: skip
    assert [result.code for result in results].count("done") == 1


def test_the_database_refuses_what_is_missing_beside_the_field():
    with pytest.raises(Invalid) as caught:
        actions.log_report_of_death(
            make_staff(Role.INVESTIGATOR), record_id=new_id(), entry=first_call(caller_name="")
        )
    assert "caller_name" in caught.value.errors


def test_a_call_that_has_not_come_yet_is_refused():
    later = timezone.now() + timedelta(hours=2)
    with pytest.raises(Invalid) as caught:
        logged_case(called_at=later)
    assert caught.value.errors["called_at"] == ["This time is in the future."]


def test_a_correction_keeps_old_new_and_why():
    case = logged_case()
    quill = make_staff(Role.INVESTIGATOR, name="L. Quill")
    actions.correct_report_of_death(
        quill, case_id=case.pk, version=1, entry={"caller_phone": "555 0199", "heading": "Fall"},
        reason="read back to the caller",
    )  # fmt: skip
    event = AuditEvent.objects.filter(table="cases_reportofdeath", case_id=case.pk).last()
    assert event.changes["caller_phone"] == ["555 0142", "555 0199"]
    assert (event.actor_name, event.reason) == ("L. Quill", "read back to the caller")
    case.refresh_from_db()
    assert case.heading == "Fall"


def test_a_correction_moves_the_time_of_the_case():
    case = logged_case()
    earlier = ago(hours=5, minutes=20)
    actions.correct_report_of_death(
        make_staff(Role.SUPERVISOR), case_id=case.pk, version=1, entry={"called_at": earlier},
        reason="clock was wrong",
    )  # fmt: skip
    case.refresh_from_db()
    assert case.reported_at == earlier


def test_a_correction_without_reason_by_role_stale_or_locked_is_refused():
    case = logged_case()
    call = {"case_id": case.pk, "entry": {"caller_phone": "1"}}
    quill = make_staff(Role.INVESTIGATOR)
    with pytest.raises(Refused):
        actions.correct_report_of_death(quill, version=1, reason=" ", **call)
    with pytest.raises(NotAllowed):
        actions.correct_report_of_death(
            make_staff(Role.PATHOLOGIST), version=1, reason="typing", **call
        )
    with pytest.raises(StaleRecord):
        actions.correct_report_of_death(quill, version=7, reason="typing", **call)
    Case.objects.filter(pk=case.pk).update(state="signed", signed_at=timezone.now(), number="x",
                                           number_year=1999, number_running=1)  # fmt: skip
    with pytest.raises(NotAllowed, match="addendum"):
        actions.correct_report_of_death(quill, version=1, reason="typing", **call)


@pytest.mark.parametrize(
    ("certainty", "at", "until", "wrong"),
    [
        ("unknown", False, False, set()),
        ("unknown", True, False, {"certainty"}),
        ("exact", True, False, set()),
        ("exact", False, False, {"at"}),
        ("about", True, False, set()),
        ("between", True, True, set()),
        ("between", True, False, {"until"}),
    ],
)
def test_an_uncertain_time_has_what_its_certainty_needs(certainty, at, until, wrong):
    found = lacking_in_time(
        certainty, ago(hours=3) if at else None, ago(hours=2) if until else None
    )
    assert set(found) == wrong


def test_the_second_time_is_after_the_first():
    assert lacking_in_time("between", ago(hours=2), ago(hours=3)) == {
        "until": "The second time must be after the first."
    }


def test_times_of_a_report_are_in_order():
    now = timezone.now()
    report = {
        "last_alive_certainty": "exact", "last_alive_at": ago(hours=3), "last_alive_until": None,
        "found_certainty": "exact", "found_at": ago(hours=4), "found_until": None,
        "called_at": ago(hours=2), "pronounced_at": None,
    }  # fmt: skip
    assert set(wrong_in_report(report, now)) == {"pronounced_at"}
    assert not wrong_in_report(report | {"pronounced_at": ago(hours=2.5)}, now)
    assert set(wrong_in_report(report | {"pronounced_at": ago(hours=3.5)}, now)) == {
        "last_alive_at"
    }
    assert set(wrong_in_report(report | {"found_at": ago(hours=1)}, now)) == {"found_at"}
    assert not wrong_in_report(report | {"found_at": ago(hours=2.5)}, now)


def test_a_case_from_elsewhere_may_have_no_report():
    from cases.queries.file import report_on

    assert report_on(make_case()) is None
