"""The database goes away and a web process is killed while a form is sent: nothing half done."""

from __future__ import annotations

import http.client
import os
import signal
import socket
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import closing
from pathlib import Path
from urllib.parse import urlencode

import pytest
from django.conf import settings
from django.db import connection
from django.test import Client

from cases.models import Person
from me_office.accounts.roles import Role
from me_office.audit.ids import new_id
from me_office.audit.models import AuditEvent, RequestAnswer
from tests.apart import Apart, as_web_server
from tests.builders import make_case, make_staff
from tests.cases.browsing import page
from tests.conftest import LONGEST_WAIT
from tests.faults.relay import Relay

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.usefixtures("processes")]
NAME = "Mara Hallstead-Quay"
TOKEN = "a" * 32


def serve_over(folder: str, held: socket.socket) -> None:
    """Serve with connections that reach the database over a wire, and stay open."""
    connection.close()
    connection.settings_dict |= {"HOST": folder, "CONN_MAX_AGE": 60}
    as_web_server(held, "--threads=2", "--preload")


class Web:
    """The web server as it runs for an office, on the test's database through a wire."""

    def __init__(self, relay: Relay, held: socket.socket) -> None:
        self.port = held.getsockname()[1]
        # One process for all tests of this file; another one after a kill is a fork of it.
        self.process = Apart(serve_over, relay.folder.name, held)

    def kill(self) -> None:
        """End the process that answers as a power cut would."""
        master = self.process.process.pid
        children = Path(f"/proc/{master}/task/{master}/children").read_text()
        for pid in children.split():
            os.kill(int(pid), signal.SIGKILL)

    def ask(self, method: str, path: str, body: str = "", cookie: str = "") -> tuple[int, str]:
        """Return status and words of an answer; 0 where the server went away meanwhile."""
        with closing(
            http.client.HTTPConnection("127.0.0.1", self.port, timeout=LONGEST_WAIT)
        ) as on:
            head = {"Host": "localhost", "Cookie": f"{cookie}; {settings.CSRF_COOKIE_NAME}={TOKEN}"}
            if body:
                head["Content-Type"] = "application/x-www-form-urlencoded"
            on.request(method, path, body=body or None, headers=head)
            try:
                answer = on.getresponse()
                return answer.status, answer.read().decode()
            except (http.client.HTTPException, ConnectionError):
                return 0, ""


@pytest.fixture(scope="module")
def relay(django_db_setup, django_db_blocker) -> Iterator[Relay]:
    wire = Relay()
    yield wire
    wire.close()


@pytest.fixture(scope="module")
def web(relay) -> Iterator[Web]:
    with socket.create_server(("127.0.0.1", 0)) as held:
        server = Web(relay, held)
        try:
            yield server
        finally:
            server.process.stop()


@pytest.fixture
def form():
    """A witness as a page sends it: the path, the body, the cookie of who is signed in."""
    client, quill = Client(), make_staff(Role.INVESTIGATOR)
    client.force_login(quill)
    said = {
        "part": "witness", "name": NAME, "record_id": new_id(), "request_key": new_id(),
        "version": 0, "csrfmiddlewaretoken": TOKEN,
    }  # fmt: skip
    session = client.cookies[settings.SESSION_COOKIE_NAME].value
    return (
        page("add-entry", make_case(), kind="people"),
        urlencode(said),
        f"{settings.SESSION_COOKIE_NAME}={session}",
    )


def counted() -> tuple[int, int, int]:
    """How many witnesses, events of them, and answers there are."""
    events = AuditEvent.objects.filter(table="cases_person")
    return Person.objects.count(), events.count(), RequestAnswer.objects.count()


def test_while_the_database_is_away_pages_say_so_and_the_service_comes_back_by_itself(
    relay, web, form
):
    path, body, cookie = form
    assert web.ask("GET", path, cookie=cookie)[0] == 200
    relay.cut()
    for method, sent in (("GET", ""), ("POST", body), ("GET", "")):
        status, words = web.ask(method, path, sent, cookie)
        assert status == 503
        assert "is not responding" in words
    assert counted() == (0, 0, 0)
    relay.mend()
    assert web.ask("GET", path, cookie=cookie)[0] == 200
    for _ in range(2):
        assert web.ask("POST", path, body, cookie)[0] == 302
    assert counted() == (1, 1, 1)


@pytest.mark.parametrize("answered", [False, True], ids=["before", "after"])
@pytest.mark.parametrize("killed", [False, True], ids=["database lost", "web process killed"])
def test_what_ends_at_the_commit_leaves_one_record_once_it_is_sent_again(
    relay, web, form, killed, answered
):
    path, body, cookie = form
    assert web.ask("GET", path, cookie=cookie)[0] == 200
    relay.watch(NAME.encode(), answered=answered)
    with ThreadPoolExecutor(1) as pool:
        sending = pool.submit(web.ask, "POST", path, body, cookie)
        assert relay.arrived.wait(LONGEST_WAIT)
        if killed:
            web.kill()
        relay.cut()
        status, words = sending.result(LONGEST_WAIT)
    assert status == (0 if killed else 503)
    if not killed:
        # Nobody can know here whether it was saved: in one of the two cases it was.
        assert "not saved" not in words
        assert "may have been saved" in words
        assert "check before you send it again" in words
    relay.mend()
    assert counted() == ((1, 1, 1) if answered else (0, 0, 0))
    assert web.ask("POST", path, body, cookie)[0] == 302
    assert counted() == (1, 1, 1)
