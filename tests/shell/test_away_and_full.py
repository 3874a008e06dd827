"""A database that is away and a disk that is full are said in words, to people and programs."""

from __future__ import annotations

import errno
from collections import namedtuple
from contextlib import closing

import psycopg
import pytest
from django.core.exceptions import RequestDataTooBig
from django.core.files.storage import default_storage
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import DataError, InterfaceError, OperationalError, connection
from django.db.backends.base.base import BaseDatabaseWrapper
from django.urls import reverse

from cases.models import Person
from evidence.fixity import alarms
from evidence.intake import parts
from evidence.intake.models import PhotographUpload
from evidence.photographs.models import Photograph
from evidence.store.models import StoredFile
from me_office.accounts.roles import Role
from me_office.audit.ids import new_id
from me_office.shell.errors import is_away, is_busy, is_full
from tests.builders import make_case, make_staff
from tests.cases.browsing import page
from tests.evidence.pictures import described, picture_bytes
from tests.evidence.tus import Sender

pytestmark = pytest.mark.django_db
NO_ROOM = OSError(errno.ENOSPC, "No space left on device")


@pytest.fixture
def vasko(client):
    person = make_staff(Role.PATHOLOGIST)
    client.force_login(person)
    client.raise_request_exception = False
    return person


def raised(error: Exception, cause: Exception | None = None) -> Exception:
    try:
        try:
            if cause is not None:
                raise cause
        except Exception as below:
            raise error from below
        raise error
    except Exception as whole:
        return whole


def of_state(state: str) -> Exception:
    """What psycopg raises for a SQLSTATE, as Django passes it on."""
    return raised(OperationalError("x"), psycopg.errors.lookup(state)("x"))


@pytest.mark.parametrize(
    ("error", "away", "full"),
    [
        (
            raised(OperationalError("x"), psycopg.OperationalError("connection refused")),
            True,
            False,
        ),
        (raised(InterfaceError("x"), psycopg.InterfaceError("connection closed")), True, False),
        (of_state("57P01"), True, False),  # admin shutdown
        (of_state("57P03"), True, False),  # cannot connect now
        (of_state("08006"), True, False),  # connection failure
        (of_state("53300"), True, False),  # too many connections
        (of_state("53100"), False, True),  # disk full
        (of_state("57014"), False, False),  # query canceled
        (of_state("40P01"), False, False),  # deadlock
        (of_state("55P03"), False, False),  # lock not available
        (raised(DataError("x"), psycopg.errors.lookup("22003")("x")), False, False),
        (NO_ROOM, False, True),
        (OSError(errno.EDQUOT, "Quota"), False, True),
        (OSError(errno.EIO, "Input/output"), False, False),
        (raised(RuntimeError("x"), NO_ROOM), False, True),
        (ValueError("x"), False, False),
    ],
)
def test_what_is_away_and_what_is_full_is_known_by_its_cause(error, away, full):
    assert (is_away(error), is_full(error)) == (away, full)


@pytest.mark.parametrize(
    ("state", "busy"),
    [("55P03", True), ("40P01", True), ("40001", True), ("57014", False), ("53300", False)],
)
def test_what_waited_in_vain_is_known_by_its_state(state, busy):
    assert is_busy(of_state(state)) is busy


@pytest.mark.django_db(transaction=True)
@pytest.mark.parametrize("of_a_program", [False, True])
def test_a_row_that_another_holds_ends_the_wait_in_words_and_nothing_is_saved(client, of_a_program):
    case = make_case()
    client.force_login(make_staff(Role.INVESTIGATOR))
    client.raise_request_exception = False
    entry = {"part": "witness", "name": "Mara Quay", "version": 0}
    keys = {"record_id": str(new_id()), "request_key": str(new_id())}

    def send():
        if of_a_program:
            body = {**entry, "id": keys["record_id"]}
            path = f"/api/cases/{case.pk}/people/"
            return client.post(path, body, content_type="application/json")
        return client.post(page("add-entry", case, kind="people"), entry | keys)

    with closing(connection.copy()) as other:
        other.set_autocommit(False)
        with other.cursor() as cursor:
            cursor.execute("SELECT FROM cases_case WHERE id = %s FOR UPDATE", [case.pk])
        with connection.cursor() as cursor:
            cursor.execute("SET lock_timeout = '50ms'")
        answer = send()
        assert answer.status_code == 503
        assert answer["Retry-After"] == "10"
        assert b"waited too long for other work" in answer.content
        named = b'"code": "busy"' if of_a_program else b"The record was busy for too long"
        assert named in answer.content
        assert Person.objects.count() == 0
        other.rollback()
    assert send().status_code in {201, 302}
    assert Person.objects.count() == 1


def test_no_connection_of_the_office_waits_or_holds_without_end():
    with connection.cursor() as cursor:
        cursor.execute("SELECT current_setting('lock_timeout')")
        assert cursor.fetchone() == ("20s",)
        cursor.execute("SELECT current_setting('idle_in_transaction_session_timeout')")
        assert cursor.fetchone() == ("5min",)


@pytest.mark.parametrize(
    ("path", "words"),
    [("/cases/", b"The office is unavailable for a moment"), ("/api/cases/", b'"code": "away"')],
)
def test_a_database_that_is_away_is_said_and_comes_back_by_itself(
    client, vasko, monkeypatch, path, words
):
    def gone(self: BaseDatabaseWrapper, *_: object) -> None:
        raise OperationalError("x") from psycopg.OperationalError("connection refused")

    with monkeypatch.context() as patch:
        patch.setattr(BaseDatabaseWrapper, "_cursor", gone)
        answer = client.get(path)
    assert answer.status_code == 503
    assert answer["Retry-After"] == "10"
    assert words in answer.content
    assert client.get(path).status_code == 200


def test_a_full_disk_is_507_for_a_form_and_keeps_nothing(client, vasko, monkeypatch):
    case = make_case()
    monkeypatch.setattr(default_storage, "save", lambda *_: (_ for _ in ()).throw(NO_ROOM))
    typed = {
        **described(), "upload": SimpleUploadedFile("a.jpg", picture_bytes(), "image/jpeg"),
        "record_id": str(new_id()), "request_key": str(new_id()), "version": "0",
        "photographer": "Dr. I. Vasko",
    }  # fmt: skip
    answer = client.post(reverse("evidence:photographs-add", args=[case.pk]), typed)
    assert answer.status_code == 507
    assert b"There is no room left" in answer.content
    assert Photograph.objects.count() == StoredFile.objects.count() == 0


def test_a_full_disk_is_507_for_an_upload_which_goes_on_when_there_is_room(
    client, vasko, monkeypatch
):
    sender = Sender(client, make_case(), picture_bytes(size=(300, 200), quality=100))
    sender.begin()
    with monkeypatch.context() as patch:
        patch.setattr(parts, "_write_all", lambda *_: (_ for _ in ()).throw(NO_ROOM))
        answer = sender.send(0)
        assert (answer.status_code, answer.json()["code"]) == (507, "full")
    assert PhotographUpload.objects.get().received_bytes == sender.offset() == 0
    with monkeypatch.context() as patch:
        sender.send(0)
        patch.setattr(default_storage, "save", lambda *_: (_ for _ in ()).throw(NO_ROOM))
        assert sender.take_in().status_code == 507
    assert Photograph.objects.count() == 0
    assert sender.take_in().status_code == 201


Room = namedtuple("Room", "total used free")


@pytest.mark.parametrize(("free", "alarm"), [(9_999_999_999, True), (10_000_000_000, False)])
def test_little_room_is_an_alarm_before_the_store_is_full(
    client, monkeypatch, settings, free, alarm
):
    settings.STORE_LITTLE_ROOM_BYTES = 10 * 10**9
    client.force_login(make_staff(Role.SUPERVISOR))
    monkeypatch.setattr(alarms.shutil, "disk_usage", lambda path: Room(free * 2, free, free))
    assert (b"File store almost full" in client.get("/").content) is alarm


def test_a_body_that_is_too_large_is_413_as_page_and_as_json(client, vasko, settings):
    settings.DATA_UPLOAD_MAX_MEMORY_SIZE = 1000
    case = make_case()
    page = client.post(reverse("cases:log-report"), {"heading": "x" * 2000})
    assert page.status_code == 413
    assert b"more than the office accepts" in page.content
    answer = client.post(
        f"/api/cases/{case.pk}/people/", '"' + "x" * 2000 + '"', content_type="application/json"
    )
    assert (answer.status_code, answer.json()["code"]) == (413, "too_large")
    assert RequestDataTooBig


@pytest.mark.parametrize("method", ["get", "post", "put", "delete"])
@pytest.mark.parametrize(
    "path", ["/api/nothing/here/", "/api/cases/not-a-key/", "/api/cases/%00/", "/api/people/me/x/"]
)
def test_the_api_refuses_in_json_also_where_there_is_nothing(client, vasko, method, path):
    answer = getattr(client, method)(path)
    assert 400 <= answer.status_code < 500
    assert answer["Content-Type"].startswith("application/json")
