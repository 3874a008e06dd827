"""Migrating gives way to who is at work, and refuses a database that is newer than the code."""

from __future__ import annotations

from collections.abc import Iterator
from io import StringIO
from typing import Any

import psycopg
import pytest
from django.core.management import CommandError, call_command
from django.core.management.commands import migrate as django_migrate
from django.db import IntegrityError, OperationalError, connection
from django.db.migrations.recorder import MigrationRecorder
from psycopg.errors import AdminShutdown

from me_office.upkeep import applied
from me_office.upkeep.applied import unknown
from me_office.upkeep.conditions import State, look, names
from me_office.upkeep.management.commands import migrate
from me_office.upkeep.parts import database
from me_office.version import VERSION

pytestmark = pytest.mark.django_db(transaction=True)
CHANGED = "ALTER TABLE cases_case ADD COLUMN tried integer"


@pytest.fixture
def writer() -> Iterator[psycopg.Connection]:
    """Somebody who writes into a case and takes their time."""
    known = connection.get_connection_params()
    names = ("host", "port", "dbname", "user", "password")
    with psycopg.connect(**{name: known[name] for name in names if known.get(name)}) as link:
        link.execute("LOCK TABLE cases_case IN ROW EXCLUSIVE MODE")
        yield link
        link.rollback()


@pytest.fixture
def one_change(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """Let migrating be one change of a busy table; return how long it said it would wait."""
    waited: list[str] = []

    def handle(self: Any, *_: object, **__: object) -> None:
        with connection.cursor() as cursor:
            cursor.execute("SHOW lock_timeout")
            waited.append(cursor.fetchone()[0])
            cursor.execute(CHANGED)
            cursor.execute("ALTER TABLE cases_case DROP COLUMN tried")

    monkeypatch.setattr(django_migrate.Command, "handle", handle)
    monkeypatch.setattr(migrate, "WAIT_MS", 20)
    monkeypatch.setattr(migrate, "PAUSE_SECONDS", 0.01)
    return waited


def test_it_waits_a_second_at_the_most_for_a_table_and_a_minute_in_all():
    assert migrate.WAIT_MS == 1000
    assert migrate.TRIES == 60


def test_a_table_in_use_is_given_way_to_and_tried_again(
    writer: psycopg.Connection, one_change: list[str], monkeypatch: pytest.MonkeyPatch
):
    monkeypatch.setattr(migrate.time, "sleep", lambda _: len(one_change) == 3 and writer.rollback())
    out = StringIO()
    call_command("migrate", stdout=out)
    assert one_change == ["20ms"] * 4
    assert out.getvalue().count("trying again") == 3
    with connection.cursor() as cursor:
        cursor.execute("SHOW lock_timeout")
        assert cursor.fetchone() == ("20s",)


def test_a_table_that_is_always_in_use_ends_it_in_words(
    writer: psycopg.Connection, one_change: list[str], monkeypatch: pytest.MonkeyPatch
):
    monkeypatch.setattr(migrate, "TRIES", 2)
    with pytest.raises(CommandError, match="nothing is half done"):
        call_command("migrate", stdout=StringIO())
    assert len(one_change) == 2


@pytest.fixture
def another() -> Iterator[psycopg.Connection]:
    """Another migrate that is at work."""
    known = connection.get_connection_params()
    names = ("host", "port", "dbname", "user", "password")
    with psycopg.connect(**{name: known[name] for name in names if known.get(name)}) as link:
        link.execute("SELECT pg_advisory_lock(%s)", [migrate.LOCK])
        link.commit()
        yield link


def test_a_second_migrate_waits_for_the_first(
    another: psycopg.Connection, one_change: list[str], monkeypatch: pytest.MonkeyPatch
):
    waits: list[float] = []

    def sleep(seconds: float) -> None:
        assert one_change == []
        waits.append(seconds)
        if len(waits) == 3:
            another.execute("SELECT pg_advisory_unlock_all()")

    monkeypatch.setattr(migrate.time, "sleep", sleep)
    call_command("migrate", stdout=StringIO())
    assert (len(waits), len(one_change)) == (3, 1)
    free = another.execute("SELECT pg_try_advisory_lock(%s)", [migrate.LOCK]).fetchone()
    assert free == (True,)


def test_one_that_never_ends_is_said(
    another: psycopg.Connection, one_change: list[str], monkeypatch: pytest.MonkeyPatch
):
    monkeypatch.setattr(migrate, "TRIES", 2)
    with pytest.raises(CommandError, match="Another migrate was at work"):
        call_command("migrate", stdout=StringIO())
    assert one_change == []


def test_a_connection_that_is_lost_in_the_middle_is_what_is_said(monkeypatch: pytest.MonkeyPatch):
    def handle(self: Any, *_: object, **__: object) -> None:
        with connection.cursor() as cursor:
            cursor.execute("SELECT pg_terminate_backend(pg_backend_pid())")

    monkeypatch.setattr(django_migrate.Command, "handle", handle)
    with pytest.raises(OperationalError) as lost:
        call_command("migrate", stdout=StringIO())
    connection.close()
    assert isinstance(lost.value.__cause__, AdminShutdown)


def test_another_fault_of_the_database_is_not_tried_again(monkeypatch: pytest.MonkeyPatch):
    tried = []

    def handle(self: Any, *_: object, **__: object) -> None:
        tried.append(1)
        raise OperationalError("the server is gone")

    monkeypatch.setattr(django_migrate.Command, "handle", handle)
    with pytest.raises(OperationalError, match="gone"):
        call_command("migrate", stdout=StringIO())
    assert tried == [1]


@pytest.mark.parametrize(("atomic", "waits"), [(True, "1s"), (False, "0")])
def test_an_index_made_beside_the_work_may_wait_and_nothing_else(atomic: bool, waits: str):
    command = migrate.Command(stdout=StringIO())
    command.using, command.verbosity = "default", 0

    def now() -> str:
        with connection.cursor() as cursor:
            cursor.execute("SHOW lock_timeout")
            return str(cursor.fetchone()[0])

    command._wait_no_longer_than(migrate.WAIT_MS)
    step = type("Step", (), {"atomic": atomic})()
    command.migration_progress_callback("apply_start", step)
    assert now() == waits
    command.migration_progress_callback("apply_success", step)
    assert now() == "1s"
    connection.close()


@pytest.fixture
def from_a_newer_version() -> Iterator[None]:
    recorder = MigrationRecorder(connection)
    recorder.record_applied("cases", "9999_of_tomorrow")
    yield
    recorder.record_unapplied("cases", "9999_of_tomorrow")


def test_a_newer_database_is_left_as_it_is(from_a_newer_version: None, one_change: list[str]):
    with pytest.raises(CommandError, match=r"cases\.9999_of_tomorrow.*Nothing was changed"):
        call_command("migrate", stdout=StringIO())
    assert one_change == []
    (said,) = look(["version"])
    assert said.state is State.WRONG
    assert "cases.9999_of_tomorrow" in said.says and VERSION in said.says


def test_the_old_version_is_sent_people_while_a_new_one_is_rolled_out(from_a_newer_version: None):
    """Its tables are made so that both work (`careful.py`)."""
    assert {one.state for one in look(names(serving_only=True))} == {State.RIGHT}


def test_a_database_that_lacks_a_migration_says_which_is_the_first():
    recorder = MigrationRecorder(connection)
    recorder.record_unapplied("gaps", "0001_initial")
    try:
        (said,) = look(["tables"])
    finally:
        recorder.record_applied("gaps", "0001_initial")
    assert said.state is State.WRONG and "1 migration" in said.says
    assert "gaps.0001_initial" in said.says and "manage.py migrate" in said.to_do
    (said,) = look(["tables"])
    assert said.state is State.RIGHT


def test_what_has_run_is_compared_anew_only_where_it_has_changed(monkeypatch: pytest.MonkeyPatch):
    assert applied.standing(connection) == ([], [])

    def never(*_: object) -> None:
        raise AssertionError("all migrations were read again")

    monkeypatch.setattr(applied, "MigrationExecutor", never)
    assert applied.standing(connection) == ([], [])


@pytest.fixture
def cut_off() -> Iterator[str]:
    """An index that was not made to its end: two rows are the same."""
    with connection.cursor() as cursor:
        cursor.execute("CREATE TABLE tried (same integer)")
        cursor.execute("INSERT INTO tried VALUES (1), (1)")
        with pytest.raises(IntegrityError):
            cursor.execute("CREATE UNIQUE INDEX CONCURRENTLY tried_same ON tried (same)")
        yield "tried_same"
        cursor.execute("DROP TABLE tried")


def test_an_index_that_was_cut_off_is_named_and_sends_nobody_away(cut_off: str):
    (said,) = look(["indexes"])
    assert said.state is State.WRONG and cut_off in said.says
    assert said.to_do.endswith("REINDEX INDEX CONCURRENTLY tried_same;")
    assert {one.state for one in look(names(serving_only=True))} == {State.RIGHT}


def test_one_of_a_migration_that_was_cut_off_is_dropped_so_that_it_can_run_again(
    cut_off: str, monkeypatch: pytest.MonkeyPatch
):
    monkeypatch.setattr(database, "standing", lambda _: (["cases.0099_more"], []))
    (said,) = look(["indexes"])
    assert said.to_do.endswith("DROP INDEX CONCURRENTLY tried_same; then manage.py migrate")


def test_what_a_rebuilding_left_is_dropped(cut_off: str):
    with connection.cursor() as cursor:
        cursor.execute("ALTER INDEX tried_same RENAME TO tried_same_ccnew1")
    (said,) = look(["indexes"])
    assert said.to_do.endswith("DROP INDEX CONCURRENTLY tried_same_ccnew1")


def test_an_index_that_is_being_made_is_not_called_broken(cut_off: str):
    known = connection.get_connection_params()
    shown = ("host", "port", "dbname", "user", "password")
    with psycopg.connect(**{name: known[name] for name in shown if known.get(name)}) as link:
        link.execute("LOCK TABLE tried IN SHARE UPDATE EXCLUSIVE MODE")
        (said,) = look(["indexes"])
        link.rollback()
    assert said.state is State.RIGHT


def test_an_app_that_has_another_name_now_is_no_newer_version():
    recorder = MigrationRecorder(connection)
    recorder.record_applied("lacking", "0001_set_aside")
    try:
        assert unknown(connection) == []
        recorder.record_applied("evidence", "0099_of_tomorrow")
        assert unknown(connection) == ["evidence.0099_of_tomorrow"]
    finally:
        recorder.record_unapplied("lacking", "0001_set_aside")
        recorder.record_unapplied("evidence", "0099_of_tomorrow")
