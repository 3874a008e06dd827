"""The frame of every change: who, what, when, why, once."""

from __future__ import annotations

import uuid

import pytest
from django.db import connection, transaction
from django.db.utils import DatabaseError

from cases.models import Case, Medication
from me_office.accounts.roles import Role
from me_office.audit import keys
from me_office.audit.actions import action
from me_office.audit.context import RequestFacts, current_request
from me_office.audit.errors import Conflict
from me_office.audit.ids import new_id
from me_office.audit.models import AuditEvent
from me_office.audit.records import save_new, save_next_version
from tests.builders import make_case, make_staff


@action
def note_medication(actor, *, case: Case, record_id: uuid.UUID, name: str, reason: str = ""):
    """A creating action for these tests, open to everybody."""
    keys.recall(case_id=case.pk)
    return save_new(actor, Medication(pk=record_id, case=case, name=name))


@action
def rename_medication(actor, *, record_id: uuid.UUID, name: str, reason: str = ""):
    """A changing action for these tests, open to everybody."""
    keys.recall()
    medication = Medication.objects.select_for_update().get(pk=record_id)
    medication.name = name
    return save_next_version(actor, medication)


@pytest.fixture
def with_key():
    """Make the following calls belong to one request with a client's key."""
    tokens = []

    def use(key: uuid.UUID) -> None:
        facts = RequestFacts(source="page", request_id="r1", address="10.0.0.9", request_key=key)
        tokens.append(current_request.set(facts))

    yield use
    for token in reversed(tokens):
        current_request.reset(token)


@pytest.mark.django_db
def test_an_action_leaves_who_what_when_why_with_old_and_new():
    anna = make_staff(Role.INVESTIGATOR, name="A. Renn")
    case = make_case()
    made = note_medication(anna, case=case, record_id=new_id(), name="Lisinopril")
    rename_medication(anna, record_id=made.pk, name="Lisinopril 10 mg", reason="label read again")
    event = AuditEvent.objects.filter(record_id=str(made.pk)).last()
    assert (event.actor_name, event.act) == ("A. Renn", "rename_medication")
    assert event.reason == "label read again"
    assert event.changes["name"] == ["Lisinopril", "Lisinopril 10 mg"]
    assert event.case_id == case.pk
    assert event.actor_roles == "investigator"


@pytest.mark.django_db
def test_a_raw_sql_update_leaves_an_event():
    case = make_case()
    with connection.cursor() as cursor:
        cursor.execute("UPDATE cases_case SET heading = 'changed by hand' WHERE id = %s", [case.pk])
    event = AuditEvent.objects.filter(table="cases_case", record_id=str(case.pk)).last()
    assert event.changes == {"heading": ["Fall at a grain store", "changed by hand"]}
    assert event.source == "database"
    assert event.database_role


@pytest.mark.django_db
@pytest.mark.parametrize(
    "statement",
    [
        "UPDATE audit_auditevent SET reason = 'other'",
        "DELETE FROM audit_auditevent",
        "TRUNCATE audit_auditevent",
        "DELETE FROM cases_decedent",
        "TRUNCATE cases_decedent",
    ],
)
def test_history_and_records_cannot_be_removed_by_raw_sql(statement):
    make_case()
    with (
        pytest.raises(DatabaseError, match="records of the office stay"),
        transaction.atomic(),
        connection.cursor() as cursor,
    ):
        cursor.execute("SET CONSTRAINTS ALL IMMEDIATE")
        cursor.execute(statement)


@pytest.mark.django_db
def test_a_retried_request_gets_the_first_answer_again(with_key):
    anna, case, key, record_id = make_staff(Role.INVESTIGATOR), make_case(), new_id(), new_id()
    with_key(key)
    first = note_medication(anna, case=case, record_id=record_id, name="Lisinopril")
    with_key(key)
    again = note_medication(anna, case=case, record_id=record_id, name="Lisinopril")
    assert first.pk == again.pk
    assert Medication.objects.count() == 1
    assert AuditEvent.objects.filter(record_id=str(record_id)).count() == 1


@pytest.mark.django_db
def test_the_same_id_with_other_content_is_a_conflict():
    anna, case, record_id = make_staff(Role.INVESTIGATOR), make_case(), new_id()
    note_medication(anna, case=case, record_id=record_id, name="Lisinopril")
    with pytest.raises(Conflict):
        note_medication(anna, case=case, record_id=record_id, name="Something else")


@pytest.mark.django_db
def test_a_key_used_by_somebody_else_is_a_conflict(with_key):
    anna, ben, case, key = make_staff(), make_staff(), make_case(), new_id()
    with_key(key)
    note_medication(anna, case=case, record_id=new_id(), name="Lisinopril")
    with_key(key)
    with pytest.raises(Conflict):
        note_medication(ben, case=case, record_id=new_id(), name="Lisinopril")
