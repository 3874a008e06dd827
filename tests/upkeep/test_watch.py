"""The watch tells once, again after a day and when it is over, whatever happens around it."""

from __future__ import annotations

import json
import os
import signal
import socket
import threading
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path
from types import SimpleNamespace
from typing import Any, cast

import pytest
from django.core import mail
from django.core.management import CommandError, call_command

from me_office.shell.templatetags.office import moment
from me_office.upkeep import watch, watching
from me_office.upkeep.conditions import Condition, State
from me_office.upkeep.management.commands import watch as command
from tests.apart import run_python
from tests.conftest import LONGEST_WAIT, Caught, office_environment
from tests.upkeep.mail_server import IS_SILENT, REFUSES, MailServer

# Without what takes seconds; by the addresses of its environment, not of whom it is forked from.
THREE_LOOKS = """
import django
from django.core.management import call_command
from django.db import connections
django.setup()
from me_office.upkeep import conditions
vars(connections).pop("settings", None)
connections._settings = None
for name in set(conditions.names()) - {"database", "tables", "broker", "beat"}:
    del conditions._parts[name]
for _ in range(3):
    call_command("watch", "--once")
"""
AWAY = Condition("broker", State.WRONG, "It does not answer.", "Start Redis.")
BACK = Condition("broker", State.RIGHT, "It answers.")
MINUTE, DAY = timedelta(minutes=1), timedelta(days=1)


class Office:
    """An office whose conditions, clock and mail server a test decides."""

    def __init__(self, folder: Path, patch: pytest.MonkeyPatch) -> None:
        self.folder, self.patch = folder, patch
        self.now = datetime(2026, 3, 4, 2, 10, tzinfo=UTC)
        self.passed = 0.0
        self.found: list[Condition] = []
        self.patch.setattr(watch, "look", lambda: iter(self.found))
        self.patch.setattr(watch.timezone, "now", lambda: self.now)
        self.patch.setattr(watch, "monotonic", lambda: self.passed)
        self.patch.setattr(watch, "_note_that_it_lives", lambda: None)
        self.watch = watch.Watch(folder)

    def restarted(self) -> None:
        self.watch = watch.Watch(self.folder)

    def looks(self, *found: Condition, times: int = 1) -> int:
        """Look so many times, a minute apart; return how many mails that sent."""
        self.found, before = list(found), len(mail.outbox)
        for _ in range(times):
            self.watch.look()
            self.now, self.passed = self.now + MINUTE, self.passed + 60
        return len(mail.outbox) - before


@pytest.fixture
def office(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, settings: Any) -> Office:
    settings.ADMINS = [("birch", "birch@office.invalid")]
    settings.CSRF_TRUSTED_ORIGINS = ["https://office.invalid", "https://other.invalid"]
    settings.SERVER_EMAIL, settings.OFFICE_NAME = "office@office.invalid", "Alder County"
    return Office(tmp_path, monkeypatch)


def refused(**_: object) -> None:
    raise ConnectionRefusedError


def test_it_tells_at_the_second_look_again_after_a_day_and_when_it_is_over(office: Office):
    assert [office.looks(AWAY) for _ in range(4)] == [0, 1, 0, 0]
    (told,) = mail.outbox
    assert (told.subject, told.to) == (
        "Alder County: broker needs attention", ["birch@office.invalid"],
    )  # fmt: skip
    since = moment(datetime(2026, 3, 4, 2, 10, tzinfo=UTC))
    assert f"wrong: broker, since {since}.\nIt does not answer." in told.body
    assert (
        "To see what is still so: https://office.invalid/office/ or manage.py ready." in told.body
    )
    office.now += DAY - 4 * MINUTE
    assert [office.looks(AWAY) for _ in range(3)] == [0, 1, 0]
    assert [office.looks(BACK) for _ in range(4)] == [0, 1, 0, 0]
    assert mail.outbox[-1].body == "right again: broker."


def test_a_watch_that_is_started_again_remembers_what_it_told(office: Office):
    sent = []
    for found in (AWAY, AWAY, AWAY, BACK, BACK, BACK):
        office.restarted()
        sent.append(office.looks(found))
    assert sent == [0, 1, 0, 0, 1, 0]
    assert [one.name for one in office.folder.iterdir()] == ["watch.json"]


def test_one_mail_tells_of_all_that_is_due_the_pressing_first(office: Office):
    little = Condition("disk room", State.DANGER, "2.0 GB are left.", "Make room.")
    assert office.looks(little, AWAY, times=2) == 1
    assert mail.outbox[0].subject == "Alder County: 2 things need attention"
    words = mail.outbox[0].body
    assert words.index("wrong: broker") < words.index("dangerous: disk room")


def test_while_the_database_is_away_one_thing_is_wrong_and_the_rest_waits(office: Office):
    away = Condition("database", State.WRONG, "It does not answer.", "Start PostgreSQL.")
    there = Condition("database", State.RIGHT, "It answers.")
    beat = Condition("beat", State.WRONG, "Silent.", "Start one.")
    unseen = [Condition(name, State.NOT_SEEN, "OperationalError") for name in ("beat", "tables")]
    assert office.looks(there, beat, times=2) == 1
    assert office.looks(away, *unseen, times=3) == 1
    assert "database needs attention" in mail.outbox[1].subject
    assert "\nNot seen while the database is away: beat, tables.\n" in mail.outbox[1].body
    # Neither told anew nor over: it stands as it stood.
    assert office.looks(there, beat, times=2) == 1
    assert mail.outbox[2].body == "right again: database."
    unseen[1] = Condition("tables", State.NOT_SEEN, "No answer.")
    assert office.looks(there, beat, unseen[1], times=2) == 1


def test_a_mail_that_is_not_taken_is_tried_later_and_later_and_none_is_lost(office: Office):
    tries = []

    def noted(**_: object) -> None:
        tries.append(int(office.passed // 60))
        raise ConnectionRefusedError

    whole = watching.get_connection
    office.patch.setattr(watching, "get_connection", noted)
    assert office.looks(AWAY, times=60) == 0
    assert tries == [1, 2, 4, 8, 16, 31, 46]
    office.patch.setattr(watching, "get_connection", whole)
    assert office.looks(AWAY, times=10) == 1
    assert office.watch.refused == 0


def test_who_is_ended_between_mailing_and_noting_sends_the_same_mail_again(office: Office):
    office.looks(AWAY)
    with office.patch.context() as ended:
        ended.setattr(watching, "note_told", lambda *_: 1 / 0)
        with pytest.raises(ZeroDivisionError):
            office.looks(AWAY)
    office.restarted()
    assert office.looks(AWAY, times=3) == 1
    first, again = (one.message()["Message-ID"] for one in mail.outbox)
    assert first == again and first.endswith("@office.invalid>")
    office.now += DAY
    assert office.looks(AWAY) == 1
    assert mail.outbox[-1].message()["Message-ID"] != first


def test_a_clock_that_was_a_year_ahead_keeps_nobody_from_being_told(office: Office):
    office.now += 365 * DAY
    assert office.looks(AWAY, times=2) == 1
    office.now -= 365 * DAY
    office.restarted()
    assert office.looks(AWAY, times=2) == 0
    office.now += DAY
    assert office.looks(AWAY) == 1
    assert " Mar 2026, " in mail.outbox[-1].body


@pytest.mark.parametrize(
    "said", ["", "[", "{}", '["broker"]', '[{"name": "broker"}]', "\udcff", "[1]",
             '[{"name": "b", "state": "odd", "since": "x", "looks": 1, "mailed_at": null}]'],
)  # fmt: skip
def test_a_memory_that_cannot_be_read_is_begun_anew_and_said(
    office: Office, said: str, caplog: Caught
):
    (office.folder / "watch.json").write_bytes(said.encode(errors="surrogateescape"))
    office.restarted()
    assert ("can't be read" in caplog.text) is (said != "{}")
    assert office.looks(AWAY, times=3) == 1
    assert json.loads((office.folder / "watch.json").read_text())[0]["looks"] == 3


def test_a_memory_that_cannot_be_written_ends_no_watch(office: Office, caplog: Caught):
    office.watch.memory.path = office.folder / "nowhere" / "watch.json"
    assert office.looks(AWAY, times=4) == 1
    assert "can't be kept (FileNotFoundError)" in caplog.text


def test_nobody_to_tell_is_no_fault_and_is_told_when_there_is_somebody(
    office: Office, settings: Any
):
    there, settings.ADMINS = settings.ADMINS, []
    assert office.looks(AWAY, times=3) == 0
    settings.ADMINS = there
    assert office.looks(AWAY, times=2) == 1


def test_of_itself_it_says_nothing(office: Office):
    assert office.looks(Condition("watch", State.WRONG, "Silent.", ""), times=3) == 0


@pytest.fixture
def over_smtp(office: Office, settings: Any) -> Iterator[MailServer]:
    with MailServer() as server:
        settings.EMAIL_BACKEND = "django.core.mail.backends.smtp.EmailBackend"
        settings.EMAIL_HOST, settings.EMAIL_PORT = "127.0.0.1", server.port
        settings.EMAIL_USE_TLS = settings.EMAIL_USE_SSL = False
        yield server


def test_a_server_that_never_answers_is_left_and_one_that_refuses_is_asked_again(
    office: Office, over_smtp: MailServer
):
    office.patch.setattr(watch, "MAIL_SECONDS", 0.05)
    over_smtp.answer = IS_SILENT
    office.looks(AWAY, times=2)
    assert office.watch.refused == 1
    over_smtp.over.set()
    office.patch.setattr(watch, "MAIL_SECONDS", 30.0)
    over_smtp.answer = REFUSES
    office.looks(AWAY, times=1)
    assert office.watch.refused == 2
    over_smtp.answer = "250 taken"
    office.looks(AWAY, times=9)
    assert office.watch.refused == 0 and len(over_smtp.mails) == 3


def test_a_second_one_waits_or_is_refused(tmp_path: Path, settings: Any):
    settings.SPOOL_DIR = tmp_path
    first = watch.take_place(tmp_path, wait=False)
    with pytest.raises(CommandError, match="Another watch runs"):
        call_command("watch", "--once")
    came = threading.Event()

    def second() -> None:
        place = watch.take_place(tmp_path, wait=True)
        assert place is not None
        came.set()
        place.close()

    waiting = threading.Thread(target=second)
    waiting.start()
    assert not came.wait(0.05)
    assert first is not None
    first.close()
    waiting.join(LONGEST_WAIT)
    assert came.is_set()
    assert watch.take_place(tmp_path / "nowhere", wait=False) is None


def test_a_look_that_breaks_ends_no_watch_and_one_who_is_asked_to_stop_ends_after_a_look(
    monkeypatch: pytest.MonkeyPatch, caplog: Caught
):
    looks: list[str] = []

    def looked() -> None:
        looks.append("begun")
        if len(looks) == 1:
            raise RuntimeError("the disk of somebody")
        os.kill(os.getpid(), signal.SIGTERM)
        looks.append("finished")

    usual = {number: signal.getsignal(number) for number in (signal.SIGTERM, signal.SIGINT)}
    monkeypatch.setattr(command, "EVERY_SECONDS", 0.0)
    try:
        command.Command()._watch(cast(watch.Watch, SimpleNamespace(look=looked)), once=False)
    finally:
        for number, handler in usual.items():
            signal.signal(number, handler)
    assert looks == ["begun", "begun", "finished"]
    assert "A look of the watch was interrupted" in caplog.text


@pytest.mark.django_db
@pytest.mark.usefixtures("processes")
def test_it_mails_while_neither_database_nor_queue_can_be_reached(tmp_path: Path):
    with MailServer() as server, socket.create_server(("127.0.0.1", 0)) as held:
        nobody = held.getsockname()[1]
        held.close()
        given = {
            **office_environment(),
            "DATABASE_URL": f"postgresql://office_app:x@127.0.0.1:{nobody}/office",
            "REDIS_URL": f"redis://127.0.0.1:{nobody}/0",
            "ME_SPOOL_DIR": str(tmp_path),
            "ME_MAIL_URL": f"smtp://127.0.0.1:{server.port}?tls=no",
            "ME_MAIL_FROM": "office@office.invalid",
            "ME_ADMINISTRATORS": "birch@office.invalid",
        }
        done = run_python(["-c", THREE_LOOKS], given, tmp_path)
    assert done.returncode == 0, done.stderr
    (told,) = server.mails
    assert "wrong: database, since " in told and "wrong: broker, since " in told
    assert "Not seen while the database is away: tables, beat." in told
