"""The clock is set forward or back: the story keeps its order, nobody is signed in for longer."""

from __future__ import annotations

import threading
from concurrent.futures import ThreadPoolExecutor
from datetime import timedelta

import pytest
from django.db import connection, connections, transaction
from django.test import Client
from django.utils import timezone

from me_office.accounts.roles import Role
from me_office.audit import queries
from me_office.audit.ids import new_id
from me_office.audit.models import AuditEvent
from tests.audit.test_frame import note_medication, rename_medication
from tests.builders import make_case, make_staff
from tests.conftest import LONGEST_WAIT

HOUR = timedelta(hours=1)


@pytest.fixture
def noted(transactional_db):
    """A medication of a case, and who noted it."""
    anna = make_staff(Role.INVESTIGATOR)
    case = make_case(by=anna)
    return anna, note_medication(anna, case=case, record_id=new_id(), name="noted")


def names_told(medication) -> list[str]:
    """Every name the history tells, newest first, read in pages of one act."""
    before, told = None, []
    while True:
        page = queries.case_history(medication.case_id, before=before)
        told += [
            change.becomes
            for act in page.acts
            for part in act.parts
            for change in part.changes
            if change.field == "name"
        ]
        before = page.next_before
        if before is None:
            return told


def as_if_the_clock_had_been(ahead: timedelta) -> None:
    """Move all that was written so far to where another clock would have put it."""
    with connection.cursor() as cursor:
        cursor.execute("SET session_replication_role = replica")
        cursor.execute(
            "UPDATE audit_auditevent SET at = at + %s, transaction = transaction + %s",
            [ahead, int(ahead.total_seconds()) * 1_000_000 * 1024],
        )
        cursor.execute("SET session_replication_role = DEFAULT")


@pytest.mark.parametrize("ahead", [HOUR, -HOUR], ids=["set back", "set forward"])
def test_a_later_act_is_told_later_whatever_became_of_the_clock(noted, monkeypatch, ahead):
    monkeypatch.setattr(queries, "ACTS_A_PAGE", 1)
    anna, medication = noted
    as_if_the_clock_had_been(ahead)
    with transaction.atomic():
        # Two changes of one act keep one number.
        rename_medication(anna, record_id=medication.pk, name="second")
        rename_medication(anna, record_id=medication.pk, name="third")
    rename_medication(anna, record_id=medication.pk, name="fourth")
    events = AuditEvent.objects.filter(record_id=str(medication.pk)).order_by("id")
    numbers = list(events.values_list("transaction", flat=True))
    assert numbers[0] < numbers[1] == numbers[2] < numbers[3]
    assert names_told(medication) == ["fourth", "second", "third", "noted"]


def test_an_act_that_waited_for_a_later_one_is_told_after_it(noted):
    anna, medication = noted
    begun, go_on = threading.Event(), threading.Event()

    def early() -> None:
        with transaction.atomic(), connection.cursor() as cursor:
            cursor.execute("SELECT transaction_timestamp()")
            begun.set()
            assert go_on.wait(LONGEST_WAIT)
            rename_medication(anna, record_id=medication.pk, name="third")
        connections.close_all()

    with ThreadPoolExecutor(1) as pool:
        waiting = pool.submit(early)
        assert begun.wait(LONGEST_WAIT)
        rename_medication(anna, record_id=medication.pk, name="second")
        go_on.set()
        waiting.result(LONGEST_WAIT)
    assert names_told(medication) == ["third", "second", "noted"]


def test_the_number_of_another_act_cannot_be_borrowed(noted):
    anna, medication = noted
    [there] = AuditEvent.objects.filter(record_id=str(medication.pk))
    for wanted in (there.transaction, 2**62, "x", 9 * 10**18):
        with transaction.atomic(), connection.cursor() as cursor:
            cursor.execute("SELECT pg_current_xact_id()::text::bigint & 1023")
            same_digits = cursor.fetchone()[0]
            if isinstance(wanted, int) and wanted != there.transaction:
                wanted += same_digits
            cursor.execute("SELECT set_config('office.act_number', %s, true)", [str(wanted)])
            rename_medication(anna, record_id=medication.pk, name="another")
        last = AuditEvent.objects.latest("id")
        assert there.transaction < last.transaction < there.transaction + 3600 * 10**6 * 1024


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("jump", "status"), [(timedelta(hours=13), 302), (timedelta(hours=11), 200), (-24 * HOUR, 200)]
)
def test_a_session_ends_where_the_clock_jumps_past_it_and_not_where_it_is_set_back(
    monkeypatch, jump, status
):
    client = Client()
    client.force_login(make_staff(Role.INVESTIGATOR))
    now = timezone.now
    monkeypatch.setattr(timezone, "now", lambda: now() + jump)
    assert client.get("/cases/").status_code == status
