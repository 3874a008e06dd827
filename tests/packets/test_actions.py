"""Every change of a packet: it works and leaves its event, or is refused."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.core.files.storage import default_storage
from django.db import IntegrityError, connection, transaction
from django.utils import timezone

from cases.court.actions import withdraw_request
from cases.court.models import Release
from cases.models import Case
from cases.packets import actions, queries, store, tasks
from cases.packets.actions import MadePacket
from cases.packets.models import Packet
from me_office.accounts.roles import Role
from me_office.audit.errors import Conflict, NotAllowed, NotKnown, Refused, StaleRecord
from me_office.audit.ids import new_id
from me_office.audit.models import AuditEvent
from me_office.jobs import actions as jobs
from me_office.jobs import queries as job_queries
from me_office.jobs import sending
from me_office.jobs.models import JobProgress
from me_office.jobs.rules import MAX_ATTEMPTS, SILENCE
from tests.builders import make_case, make_staff, set_back
from tests.court.test_actions import handed_over
from tests.packets.builders import make_clerk, make_packet, make_request

pytestmark = pytest.mark.django_db
MADE = MadePacket("packets/aa/x.zip", "b" * 64, 1234, 12, 3)


@pytest.fixture
def asked(clerk):
    return make_request(make_case(state="signed"), clerk)


def silent(packet, by=SILENCE + timedelta(seconds=5)):
    """Say that nobody was heard of for so long."""
    at = timezone.now() - by
    JobProgress.objects.filter(key=packet.pk).update(beat_at=at, sent_at=at)


def ask(by, asked, **other):
    values = {
        "case_id": asked.case_id,
        "request_id": asked.pk,
        "record_id": new_id(),
        "entry": {"with_photographs": True, "with_history": False},
        **other,
    }
    return actions.request_packet(by, **values)


def test_a_packet_is_asked_for_and_a_job_is_sent_after_the_commit(
    clerk, asked, monkeypatch, django_capture_on_commit_callbacks
):
    sent = []
    monkeypatch.setattr(sending, "send", lambda task, **named: sent.append((task, named)))
    with django_capture_on_commit_callbacks(execute=True):
        packet = ask(clerk, asked)
        assert sent == []
    assert sent == [(actions.BUILD_TASK, {"request_id": str(packet.pk)})]
    assert (packet.number, packet.state) == (1, "waiting")
    assert JobProgress.objects.get(key=packet.pk).step == "waiting in the queue"
    event = AuditEvent.objects.get(table="packets_packet")
    assert (event.actor_name, event.act) == ("R. Ostrander", "request_packet")


def test_only_a_signed_case_is_packed_and_only_by_those_who_may(clerk, asked):
    open_case = make_request(make_case(), clerk)
    with pytest.raises(NotAllowed, match="while the case is open"):
        ask(clerk, open_case)
    for role in (Role.INVESTIGATOR, Role.PATHOLOGIST, Role.EVIDENCE_TECHNICIAN):
        with pytest.raises(NotAllowed):
            ask(make_staff(role), asked)
    with pytest.raises(NotKnown):
        ask(clerk, asked, request_id=new_id())


def test_the_same_request_twice_is_one_packet(clerk, asked):
    key = new_id()
    first, again = ask(clerk, asked, record_id=key), ask(clerk, asked, record_id=key)
    assert first.pk == again.pk
    assert Packet.objects.count() == 1
    with pytest.raises(Conflict):
        other = {"with_photographs": False, "with_history": False}
        ask(clerk, asked, record_id=key, entry=other)


def test_a_retried_request_is_the_same_packet_after_it_was_built(clerk, asked):
    key = new_id()
    packet = ask(clerk, asked, record_id=key)
    actions.begin_packet(clerk, packet_id=packet.pk)
    actions.finish_packet(clerk, packet_id=packet.pk, attempt=1, made=MADE)
    assert ask(clerk, asked, record_id=key).state == "made"


def test_no_second_packet_while_one_is_made_and_none_for_a_closed_request(clerk, asked):
    ask(clerk, asked)
    with pytest.raises(Refused, match="already being built"):
        ask(clerk, asked)
    gone = make_request(asked.case, clerk)
    withdraw_request(clerk, case_id=asked.case_id, request_id=gone.pk, version=1, reason="quashed")
    with pytest.raises(Refused, match="withdrawn"):
        ask(clerk, gone)


def test_numbers_run_on_within_the_case(clerk, asked):
    numbers = [ask(clerk, make_request(asked.case, clerk)).number for _ in range(3)]
    assert numbers == [1, 2, 3]


def test_an_attempt_begins_once_and_finishes_once(clerk, asked):
    packet = ask(clerk, asked)
    begun = actions.begin_packet(clerk, packet_id=packet.pk)
    assert (begun.state, begun.attempts) == ("making", 1)
    assert actions.begin_packet(clerk, packet_id=packet.pk) is None
    built = actions.finish_packet(clerk, packet_id=packet.pk, attempt=1, made=MADE)
    assert (built.state, built.sha256, built.pages) == ("made", "b" * 64, 12)
    assert actions.begin_packet(clerk, packet_id=packet.pk) is None
    with pytest.raises(Refused):
        actions.finish_packet(clerk, packet_id=packet.pk, attempt=1, made=MADE)
    acts = list(AuditEvent.objects.filter(table="packets_packet").values_list("act", flat=True))
    assert acts == ["request_packet", "begin_packet", "finish_packet"]


def test_a_silent_attempt_is_taken_over_and_what_comes_late_is_refused(clerk, asked):
    packet = ask(clerk, asked)
    actions.begin_packet(clerk, packet_id=packet.pk)
    silent(packet)
    assert actions.begin_packet(clerk, packet_id=packet.pk).attempts == 2
    for late in (
        lambda: actions.finish_packet(clerk, packet_id=packet.pk, attempt=1, made=MADE),
        lambda: actions.fail_packet(clerk, packet_id=packet.pk, attempt=1, failure="late"),
    ):
        with pytest.raises(Refused, match="later attempt"):
            late()
    actions.finish_packet(clerk, packet_id=packet.pk, attempt=2, made=MADE)


def test_a_failure_is_kept_in_words_and_tried_again(clerk, asked):
    packet = ask(clerk, asked)
    with pytest.raises(NotAllowed):
        actions.begin_packet(make_staff(Role.PATHOLOGIST), packet_id=packet.pk)
    actions.begin_packet(clerk, packet_id=packet.pk)
    failed = actions.fail_packet(clerk, packet_id=packet.pk, attempt=1, failure="The disk is full.")
    assert (failed.state, failed.failure) == ("failed", "The disk is full.")
    keys = {"case_id": asked.case_id, "packet_id": packet.pk}
    with pytest.raises(StaleRecord):
        actions.retry_packet(clerk, **keys, version=1)
    with pytest.raises(NotAllowed):
        actions.retry_packet(make_staff(Role.PATHOLOGIST), **keys, version=failed.version)
    with pytest.raises(NotKnown):
        actions.retry_packet(
            clerk,
            case_id=make_case(state="signed").pk,
            packet_id=packet.pk,
            version=failed.version,
        )
    again = actions.retry_packet(clerk, **keys, version=failed.version)
    assert (again.state, again.failure) == ("waiting", "")
    with pytest.raises(Refused, match="cannot become"):
        actions.retry_packet(clerk, **keys, version=again.version)


@pytest.mark.parametrize("ends", [ValueError, KeyboardInterrupt])
def test_what_an_attempt_published_is_taken_back_however_it_ends(monkeypatch, ends):
    gone = []
    monkeypatch.setattr(store, "take_back", lambda path, _: gone.append(path))
    with pytest.raises(ends), store.until_finished(Packet(pk=new_id()), "its file", attempt=1):
        raise ends
    assert gone == ["its file"]


def test_the_periodic_job_takes_up_what_was_left_and_gives_up_in_the_end(clerk, asked, monkeypatch):
    sent = []
    monkeypatch.setattr(sending, "send", lambda task, **named: not sent.append(named["request_id"]))
    monkeypatch.setattr(job_queries, "is_idle", lambda queue: queue == "long")
    packet = ask(clerk, asked)
    assert tasks.resume_packets() == 0
    silent(packet)
    assert [tasks.resume_packets(), tasks.resume_packets()] == [1, 0]
    actions.begin_packet(clerk, packet_id=packet.pk)
    assert tasks.resume_packets() == 0
    silent(packet)
    assert tasks.resume_packets() == 1
    assert sent == [str(packet.pk), str(packet.pk)]
    Packet.objects.filter(pk=packet.pk).update(attempts=MAX_ATTEMPTS)
    silent(packet)
    tasks.resume_packets()
    packet.refresh_from_db()
    assert packet.state == "failed"
    assert "5 times" in packet.failure
    assert tasks.resume_packets() == 0


def test_who_may_no_longer_build_gets_no_packet(clerk, asked):
    packet = ask(clerk, asked)
    clerk.groups.clear()
    assert tasks.build_packet(request_id=str(packet.pk)) == "failed"
    packet.refresh_from_db()
    assert packet.state == "failed"
    assert tasks.build_packet(request_id=str(packet.pk)) == "nothing to do"
    assert tasks.build_packet(request_id=str(new_id())) == "gone"


def test_a_packet_whose_bytes_changed_is_not_released(clerk, asked):
    packet = ask(clerk, asked)
    actions.begin_packet(clerk, packet_id=packet.pk)
    actions.finish_packet(clerk, packet_id=packet.pk, attempt=1, made=MADE)
    keys = {"case_id": asked.case_id, "packet_id": packet.pk, "record_id": new_id(), "version": 1}
    assert not default_storage.exists(MADE.path)
    with pytest.raises(Refused, match="must not leave the office"):
        actions.release_packet(clerk, **keys, entry=handed_over(clerk))
    assert Release.objects.count() == 0


def test_a_packet_that_is_not_built_is_not_released(clerk, asked):
    packet = ask(clerk, asked)
    keys = {"case_id": asked.case_id, "packet_id": packet.pk, "record_id": new_id(), "version": 1}
    with pytest.raises(Refused, match="not built"):
        actions.release_packet(clerk, **keys, entry=handed_over(clerk))


@pytest.mark.parametrize("state", ["open", "in review"])
def test_the_whole_file_of_a_case_that_is_not_signed_is_not_released(clerk, asked, state):
    packet = make_packet(asked, clerk)
    set_back(Case.objects.filter(pk=asked.case_id), state=state)
    keys = {"case_id": packet.case_id, "packet_id": packet.pk, "record_id": new_id(), "version": 1}
    with pytest.raises(NotAllowed):
        actions.hand_over_packet(clerk, **keys, entry=handed_over(clerk))


def test_the_database_itself_refuses_a_built_packet_without_its_digest(clerk, asked):
    packet = make_packet(asked, clerk)
    with (
        pytest.raises(IntegrityError, match="packet_built_is_whole"),
        transaction.atomic(),
        connection.cursor() as cursor,
    ):
        cursor.execute("UPDATE packets_packet SET state = 'made' WHERE id = %s", [packet.pk])


def test_two_workers_cannot_both_begin(at_once):
    clerk = make_clerk()
    packet = ask(clerk, make_request(make_case(state="signed"), clerk))
    results = at_once(
        actions.begin_packet,
        by=[clerk, clerk],
        packet_id=packet.pk,
    )
    begun = [result.value for result in results if result.value is not None]
    assert [result.code for result in results] == ["done", "done"]
    assert [one.attempts for one in begun] == [1]


def test_two_workers_both_begin_where_the_row_is_not_locked(at_once, monkeypatch):
    """The control: without the lock the race is seen."""
    clerk = make_clerk()
    packet = ask(clerk, make_request(make_case(state="signed"), clerk))

    def without_lock(packet_id, *, case=None):
        rows = Packet.objects.filter(pk=packet_id)
        return rows.select_related("case", "created_by").get()

    monkeypatch.setattr(queries, "packet_for_update", without_lock)
    monkeypatch.setattr(jobs, "is_held", lambda key: False)
    results = at_once(
        actions.begin_packet,
        by=[clerk, clerk],
        meet_after="cases.packets.queries.packet_for_update",
        packet_id=packet.pk,
    )
    assert len([result.value for result in results if result.value is not None]) == 2
