"""Keeping a calculation and voiding one: who may, what is kept, what is refused."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.db import IntegrityError, connection, transaction
from django.utils import timezone

from findings.computing import actions, queries
from findings.computing.models import Calculation
from findings.computing.offered import everything_is_sorted
from me_office.accounts.roles import Role
from me_office.audit.context import RequestFacts, current_request
from me_office.audit.errors import Conflict, NotAllowed, NotKnown, Refused, StaleRecord
from me_office.audit.ids import new_id
from me_office.audit.models import AuditEvent
from tests.builders import make_case, make_staff
from tests.computing.builders import COLD_SHED, LONG_COLD, keep

pytestmark = pytest.mark.django_db


@pytest.fixture
def vasko():
    return make_staff(Role.PATHOLOGIST, name="I. Vasko")


def test_a_calculation_is_kept_with_its_event(vasko):
    case = make_case()
    kept = keep(case, vasko)
    assert (kept.method, kept.method_version, kept.refused) == ("pmi_rectal", "1.0", False)
    assert kept.inputs == COLD_SHED
    assert kept.result["cautions"], "the cautions are kept with the result"
    event = AuditEvent.objects.get(record_id=str(kept.pk), operation="insert")
    assert (event.act, event.actor_name) == ("record_calculation", str(vasko))
    assert queries.calculations_of(case) == [kept]


def test_a_refusing_method_is_kept_as_a_refusal(vasko):
    kept = keep(make_case(), vasko, inputs=LONG_COLD)
    assert kept.refused
    assert "Q below 0.2" in kept.result["reason"]


@pytest.mark.parametrize("role", [Role.RECORDS_CLERK, Role.EVIDENCE_TECHNICIAN])
def test_other_roles_do_not_keep(role):
    with pytest.raises(NotAllowed):
        keep(make_case(), make_staff(role))


@pytest.mark.parametrize("state", ["declined", "in review", "signed"])
def test_nothing_is_kept_in_a_closed_case(vasko, state):
    with pytest.raises(NotAllowed):
        keep(make_case(state=state), vasko)


@pytest.mark.parametrize(
    ("inputs", "field"),
    [
        ({**COLD_SHED, "rectal_C": "warm"}, "rectal_C"),
        ({**COLD_SHED, "mass_kg": -1}, "mass_kg"),
        ({**COLD_SHED, "shoe": 43}, "shoe"),
        ({}, "ambient_C"),
    ],
)
def test_a_bad_input_names_its_field(vasko, inputs, field):
    with pytest.raises(Refused) as refused:
        keep(make_case(), vasko, inputs=inputs)
    assert refused.value.field == field
    assert refused.value.message.endswith(".")


def test_an_unknown_method_and_the_one_not_built(vasko):
    for method in ("tea_leaves", "drug_reference"):
        with pytest.raises(Refused) as refused:
            keep(make_case(), vasko, method=method)
        assert refused.value.field == "method"


def test_a_null_character_is_an_error_with_its_field(vasko):
    inputs = {"estimates": [{"label": "a\x00b", "measured_at": "2026-03-02T13:00", "low_h": 1.0}]}
    with pytest.raises(Refused) as refused:
        keep(make_case(), vasko, method="time_since_death", inputs=inputs)
    assert refused.value.field == "estimates[0].label"


def test_a_note_is_needed(vasko):
    with pytest.raises(Refused) as refused:
        keep(make_case(), vasko, note="  ")
    assert refused.value.field == "note"


def test_a_measurement_lies_in_the_past(vasko):
    with pytest.raises(Refused) as refused:
        keep(make_case(), vasko, measured_at=timezone.now() + timedelta(hours=1))
    assert refused.value.field == "measured_at"


def _request(vasko, case, record_id, **changed):
    values = {"method": "pmi_rectal", "inputs": COLD_SHED, "note": "For the interval", **changed}
    return actions.record_calculation(vasko, case_id=case.pk, record_id=record_id, **values)


def test_the_same_request_twice_keeps_one(vasko):
    case, record_id = make_case(), new_id()
    first, second = _request(vasko, case, record_id), _request(vasko, case, record_id)
    assert first.pk == second.pk
    assert Calculation.objects.count() == 1
    with pytest.raises(Conflict):
        _request(vasko, case, record_id, inputs={**COLD_SHED, "mass_kg": 70.0})


def test_the_same_key_gets_the_first_answer(vasko):
    case, key, record_id = make_case(), new_id(), new_id()
    answers = []
    for _ in range(2):
        token = current_request.set(RequestFacts(request_key=key))
        answers.append(_request(vasko, case, record_id))
        current_request.reset(token)
    assert answers[0].pk == answers[1].pk


def test_voiding_leaves_it_in_history_and_out_of_the_case(vasko):
    case = make_case()
    kept = keep(case, vasko)
    actions.void_calculation(
        vasko, case_id=case.pk, calculation_id=kept.pk, version=1, reason="Wrong probe"
    )
    assert queries.calculations_of(case) == []
    event = AuditEvent.objects.get(record_id=str(kept.pk), operation="update")
    assert (event.act, event.reason) == ("void_calculation", "Wrong probe")


def test_voiding_is_refused_stale_twice_without_reason_and_elsewhere(vasko):
    case = make_case()
    kept = keep(case, vasko)

    def void(version=1, reason="Wrong probe", case_id=case.pk, by=vasko):
        return actions.void_calculation(
            by, case_id=case_id, calculation_id=kept.pk, version=version, reason=reason
        )

    with pytest.raises(StaleRecord):
        void(version=7)
    with pytest.raises(Refused):
        void(reason=" ")
    with pytest.raises(NotKnown):
        void(case_id=make_case().pk)
    with pytest.raises(NotAllowed):
        void(by=make_staff(Role.RECORDS_CLERK))
    void()
    with pytest.raises(Refused):
        void(version=2)


@pytest.mark.parametrize(
    "change",
    ["result = '{}'", "inputs = '{}'", "note = 'other'", "method = 'impacts'", "refused = true"],
)
def test_the_database_lets_nobody_change_what_was_kept(vasko, change):
    kept = keep(make_case(), vasko)
    with (
        pytest.raises(IntegrityError),
        transaction.atomic(),
        connection.cursor() as cursor,
    ):
        cursor.execute(f"UPDATE computing_calculation SET {change} WHERE id = %s", [kept.pk])


def test_every_method_is_offered_or_left_out_on_purpose():
    assert everything_is_sorted()
