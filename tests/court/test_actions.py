"""Every change of a request: it works and leaves its event, or is refused."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.db import IntegrityError, connection, transaction
from django.utils import timezone

from cases.court import actions
from cases.court.models import RecordsRequest, Release
from cases.court.rules import PacketFacts
from me_office.accounts.roles import Role
from me_office.audit.errors import Conflict, Invalid, NotAllowed, NotKnown, Refused, StaleRecord
from me_office.audit.ids import new_id
from me_office.audit.models import AuditEvent
from tests.builders import make_case, make_staff
from tests.packets.builders import asked_for, make_clerk, make_request

pytestmark = pytest.mark.django_db


def facts(asked, **fields):
    values = {
        "packet_id": new_id(),
        "case_id": asked.case_id,
        "request_id": asked.pk,
        "number": 1,
        "is_built": True,
        "built_at": timezone.now() - timedelta(hours=1),
        "sha256": "a" * 64,
        **fields,
    }
    return PacketFacts(**values)


def handed_over(by, **fields):
    return {
        "released_to": "A. Pell, county attorney",
        "method": "courier",
        "released_at": timezone.now() - timedelta(minutes=5),
        "released_by": by,
        "note": "",
        **fields,
    }


def release(by, asked, **other):
    values = {
        "case_id": asked.case_id,
        "request_id": asked.pk,
        "record_id": new_id(),
        "version": asked.version,
        "packet": facts(asked),
        "entry": handed_over(by),
        **other,
    }
    return actions.record_release(by, **values)


def test_a_subpoena_is_logged_and_leaves_its_event(clerk):
    asked = make_request(make_case(), clerk, party="  Office of the county attorney ")
    assert (asked.state, asked.version, asked.party) == ("open", 1, "Office of the county attorney")
    event = AuditEvent.objects.get(table="court_recordsrequest")
    assert (event.actor_name, event.act, event.operation) == (
        "R. Ostrander", "log_request", "insert",
    )  # fmt: skip
    assert event.case_id == asked.case_id


@pytest.mark.parametrize("role", [Role.INVESTIGATOR, Role.PATHOLOGIST, Role.EVIDENCE_TECHNICIAN])
def test_other_roles_log_no_request(role):
    with pytest.raises(NotAllowed):
        make_request(make_case(), make_staff(role))


def test_a_restricted_case_is_not_known_to_a_clerk_outside_its_team(clerk):
    with pytest.raises(NotKnown):
        make_request(make_case(restricted=True), clerk)


def test_what_cannot_be_so_is_said_by_field(clerk):
    with pytest.raises(Invalid) as refused:
        make_request(make_case(), clerk, court="", due_on=timezone.localdate() - timedelta(days=9))
    assert set(refused.value.errors) == {"court", "due_on"}


def test_the_same_request_twice_is_one_record_and_other_content_a_conflict(clerk):
    case, key, entry = make_case(), new_id(), asked_for()
    first = actions.log_request(clerk, case_id=case.pk, record_id=key, entry=entry)
    again = actions.log_request(clerk, case_id=case.pk, record_id=key, entry=entry)
    assert first.pk == again.pk
    assert RecordsRequest.objects.count() == 1
    with pytest.raises(Conflict):
        actions.log_request(
            clerk, case_id=case.pk, record_id=key, entry={**entry, "party": "Somebody else"}
        )


def test_a_correction_names_its_reason_and_the_old_text_stays(clerk):
    asked = make_request(make_case(), clerk)
    later = asked.due_on + timedelta(days=5)
    changed = actions.change_request(
        clerk,
        case_id=asked.case_id,
        request_id=asked.pk,
        version=1,
        entry=asked_for(due_on=later),
        reason="The court moved the date",
    )
    assert (changed.due_on, changed.version) == (later, 2)
    event = AuditEvent.objects.get(table="court_recordsrequest", act="change_request")
    assert event.reason == "The court moved the date"
    assert event.changes["due_on"] == [asked.due_on.isoformat(), later.isoformat()]


def test_a_correction_without_reason_or_of_an_old_version_is_refused(clerk):
    asked = make_request(make_case(), clerk)
    keys = {"case_id": asked.case_id, "request_id": asked.pk, "entry": asked_for()}
    with pytest.raises(Refused, match="Say why"):
        actions.change_request(clerk, **keys, version=1, reason=" ")
    with pytest.raises(StaleRecord):
        actions.change_request(clerk, **keys, version=7, reason="typed wrongly")
    with pytest.raises(NotAllowed):
        actions.change_request(make_staff(Role.PATHOLOGIST), **keys, version=1, reason="why")


def test_a_withdrawn_request_keeps_its_reason_and_takes_no_change(clerk):
    asked = make_request(make_case(), clerk)
    keys = {"case_id": asked.case_id, "request_id": asked.pk}
    with pytest.raises(StaleRecord):
        actions.withdraw_request(clerk, **keys, version=4, reason="quashed")
    gone = actions.withdraw_request(clerk, **keys, version=1, reason="quashed")
    assert (gone.state, gone.void_reason, gone.voided_by) == ("withdrawn", "quashed", clerk)
    assert AuditEvent.objects.get(act="withdraw_request").reason == "quashed"
    with pytest.raises(Refused, match="withdrawn"):
        actions.change_request(clerk, **keys, version=2, entry=asked_for(), reason="again")
    with pytest.raises(Refused, match="cannot become"):
        actions.withdraw_request(clerk, **keys, version=2, reason="twice")


def test_a_release_answers_the_request(clerk):
    asked = make_request(make_case(state="signed"), clerk)
    packet = facts(asked)
    made = release(clerk, asked, packet=packet)
    asked.refresh_from_db()
    assert (asked.state, asked.version) == ("answered", 2)
    assert (made.packet_id, made.packet_sha256) == (packet.packet_id, "a" * 64)
    events = AuditEvent.objects.filter(act="record_release")
    assert {event.table for event in events} == {"court_release", "court_recordsrequest"}
    assert {event.actor_name for event in events} == {"R. Ostrander"}


def test_a_release_sent_twice_is_one_release(clerk):
    asked = make_request(make_case(state="signed"), clerk)
    same = {"record_id": new_id(), "packet": facts(asked), "entry": handed_over(clerk)}
    first, again = release(clerk, asked, **same), release(clerk, asked, **same)
    assert first.pk == again.pk
    assert Release.objects.count() == 1


def test_a_release_is_refused_by_role_state_version_and_rule(clerk):
    case = make_case(state="signed")
    asked = make_request(case, clerk)
    with pytest.raises(NotAllowed):
        release(make_staff(Role.PATHOLOGIST), asked)
    with pytest.raises(StaleRecord):
        release(clerk, asked, version=9)
    with pytest.raises(Refused, match="not built"):
        release(clerk, asked, packet=facts(asked, is_built=False))
    with pytest.raises(Refused, match="another request"):
        release(clerk, asked, packet=facts(asked, request_id=new_id()))
    with pytest.raises(Refused) as refused:
        late = handed_over(clerk, released_at=timezone.now() + timedelta(days=1))
        release(clerk, asked, entry=late)
    assert refused.value.field == "released_at"
    assert Release.objects.count() == 0


def test_the_database_itself_refuses_a_subpoena_without_court_and_a_due_date_before_service(clerk):
    asked = make_request(make_case(), clerk)
    for column, value in (("court", "''"), ("due_on", "served_on - 1")):
        with (
            pytest.raises(IntegrityError),
            transaction.atomic(),
            connection.cursor() as cursor,
        ):
            cursor.execute(
                f"UPDATE court_recordsrequest SET {column} = {value} WHERE id = %s", [asked.pk]
            )


def test_two_clerks_cannot_both_answer_a_request(at_once):
    anna, ben = make_clerk(name="Anna"), make_clerk(name="Ben")
    asked = make_request(make_case(state="signed"), anna)
    each = [
        {"record_id": new_id(), "packet": facts(asked), "entry": handed_over(by)}
        for by in (anna, ben)
    ]
    results = at_once(
        actions.record_release,
        by=[anna, ben],
        each=each,
        case_id=asked.case_id,
        request_id=asked.pk,
        version=1,
    )
    assert sorted(result.code for result in results) == ["done", "stale"]
    assert Release.objects.count() == 1
