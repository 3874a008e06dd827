"""Jurisdiction and the case number: one a case, none left out."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest
from django.conf import settings
from django.utils import timezone

from cases import actions
from cases.models import Case, CaseNumberCounter, JurisdictionDecision
from cases.rules.case import CaseState
from me_office.accounts.roles import Role
from me_office.audit.errors import Conflict, Invalid, NotAllowed, Refused, StaleRecord
from me_office.audit.ids import new_id
from me_office.audit.models import AuditEvent
from tests.builders import make_case, make_staff
from tests.cases.entries import ago, logged_case

pytestmark = pytest.mark.django_db


def accept(case: Case, **said):
    quill = said.pop("actor", None) or make_staff(Role.INVESTIGATOR)
    call = {"case_id": case.pk, "version": case.version, "reason": "unattended"} | said
    decision = actions.accept_jurisdiction(quill, **call)
    case.refresh_from_db()
    return decision


def this_year() -> int:
    return timezone.now().astimezone(settings.OFFICE_ZONE).year


def test_accepting_gives_the_next_number_of_the_year_and_opens_the_case():
    first, second = logged_case(), logged_case()
    accept(first)
    accept(second)
    assert [first.number, second.number] == [f"{this_year()}-0001", f"{this_year()}-0002"]
    assert first.state == "open"


def test_the_prefix_of_the_office_stands_before_the_number(settings):
    settings.OFFICE_CASE_PREFIX = "ME"
    case = logged_case()
    accept(case)
    assert case.number == f"ME-{this_year()}-0001"


def test_the_year_is_that_of_the_office_not_of_the_server():
    """Half past eleven at night in New York is the new year in UTC already."""
    noon = datetime(2025, 12, 31, 12, tzinfo=settings.OFFICE_ZONE)
    case = logged_case(
        called_at=noon, last_alive_certainty="unknown", last_alive_at=None,
        found_certainty="unknown", found_at=None, pronounced_at=None,
    )  # fmt: skip
    evening = datetime(2025, 12, 31, 23, 30, tzinfo=settings.OFFICE_ZONE)
    assert evening.astimezone(UTC).year == 2026
    accept(case, decided_at=evening)
    assert case.number == "2025-0001"


def test_the_decision_leaves_ground_why_and_who():
    case = logged_case()
    decision = accept(
        case, actor=make_staff(Role.SUPERVISOR, name="M. Thorne"), ground="unattended death",
        reason="No physician in attendance.",
    )  # fmt: skip
    assert (decision.ground, decision.why) == ("unattended death", "No physician in attendance.")
    event = AuditEvent.objects.filter(table="cases_case", record_id=str(case.pk)).last()
    assert (event.actor_name, event.act) == ("M. Thorne", "accept_jurisdiction")
    assert event.reason == "No physician in attendance."
    assert event.changes["state"] == ["reported", "open"]


def test_a_declined_report_has_no_number_and_can_be_accepted_later():
    case = logged_case()
    actions.decline_jurisdiction(
        make_staff(Role.INVESTIGATOR), case_id=case.pk, version=1, reason="attended, natural"
    )
    case.refresh_from_db()
    assert (case.state, case.number) == ("declined", None)
    accept(case, reason="the physician withdrew")
    assert case.state == "open"
    assert case.number
    assert JurisdictionDecision.objects.filter(case=case).count() == 2


def test_declining_twice_is_refused():
    case = logged_case()
    quill = make_staff(Role.INVESTIGATOR)
    actions.decline_jurisdiction(quill, case_id=case.pk, version=1, reason="attended")
    with pytest.raises(Refused):
        actions.decline_jurisdiction(quill, case_id=case.pk, version=2, reason="attended")


def test_the_same_decision_twice_is_one_decision_and_one_number():
    case, key, quill = logged_case(), new_id(), make_staff(Role.INVESTIGATOR)
    call = {"case_id": case.pk, "version": 1, "reason": "unattended", "record_id": key}
    first = actions.accept_jurisdiction(quill, **call)
    again = actions.accept_jurisdiction(quill, **call)
    assert first.pk == again.pk
    assert CaseNumberCounter.objects.get(year=this_year()).last == 1
    with pytest.raises(Conflict):
        actions.accept_jurisdiction(quill, **(call | {"reason": "another reason"}))


def test_a_decision_is_refused_without_reason_by_role_when_stale_and_once_decided():
    case, quill = logged_case(), make_staff(Role.INVESTIGATOR)
    call = {"case_id": case.pk, "version": 1, "reason": "unattended"}
    with pytest.raises(Refused):
        actions.accept_jurisdiction(quill, **(call | {"reason": "  "}))
    with pytest.raises(NotAllowed):
        actions.accept_jurisdiction(make_staff(Role.PATHOLOGIST), **call)
    with pytest.raises(StaleRecord):
        actions.accept_jurisdiction(quill, **(call | {"version": 4}))
    actions.accept_jurisdiction(quill, **call)
    with pytest.raises(NotAllowed):
        actions.decline_jurisdiction(quill, **(call | {"version": 2}))


def test_a_refused_decision_leaves_no_gap():
    case = logged_case()
    with pytest.raises(StaleRecord):
        accept(case, version=9)
    accept(case)
    assert case.number_running == 1


def test_a_decision_is_neither_before_the_call_nor_ahead_of_now():
    case = logged_case()
    with pytest.raises(Invalid) as early:
        accept(case, decided_at=ago(hours=30))
    with pytest.raises(Invalid) as late:
        accept(case, decided_at=timezone.now() + timedelta(hours=1))
    assert set(early.value.errors) == set(late.value.errors) == {"decided_at"}


def accepted_at_once(at_once, how_many):
    """Cases of so many people accepted at once: how each came out."""
    people = [make_staff(Role.INVESTIGATOR) for _ in range(how_many)]
    cases = [logged_case(person) for person in people]
    results = at_once(
        actions.accept_jurisdiction, by=people, version=1, reason="unattended",
        each=[{"case_id": case.pk} for case in cases],
        meet_after="cases.queries.counter_for_update",
    )  # fmt: skip
    return [result.code for result in results]


def test_numbers_given_at_once_are_all_different_and_without_a_gap(at_once):
    assert accepted_at_once(at_once, 4) == ["done"] * 4
    running = Case.objects.order_by("number_running").values_list("number_running", flat=True)
    assert list(running) == [1, 2, 3, 4]


def test_without_the_lock_on_the_counter_numbers_collide(at_once, monkeypatch):
    def unlocked(year: int) -> CaseNumberCounter:
        return CaseNumberCounter.objects.get_or_create(year=year)[0]

    CaseNumberCounter.objects.create(year=this_year())
    monkeypatch.setattr("cases.queries.counter_for_update", unlocked)
    assert accepted_at_once(at_once, 2).count("done") == 1


def test_two_people_cannot_both_decide(at_once):
    case = logged_case()
    people = [make_staff(Role.INVESTIGATOR), make_staff(Role.SUPERVISOR)]
    results = at_once(
        actions.accept_jurisdiction, by=people, case_id=case.pk, version=1, reason="unattended",
        meet_after="cases.queries.case_for_update",
    )  # fmt: skip
    assert sorted(result.code for result in results) == ["done", "not_allowed"]
    assert JurisdictionDecision.objects.count() == 1


@pytest.mark.parametrize(
    ("now", "to"),
    [("reported", "signed"), ("declined", "in review"), ("signed", "open"), ("open", "signed")],
)
def test_a_case_moves_only_as_the_table_of_moves_says(now, to):
    case = make_case(state=now)
    with pytest.raises(Refused):
        actions.move_case(make_staff(Role.SUPERVISOR), case=case, to=CaseState(to))


def test_signing_notes_the_time():
    case = make_case(state="in review")
    moved = actions.move_case(make_staff(Role.SUPERVISOR), case=case, to=CaseState.SIGNED)
    assert moved.signed_at is not None
