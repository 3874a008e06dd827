"""The database goes away and a web process is killed while a form is sent: nothing half done."""

from __future__ import annotations

import http.client
import os
import signal
import socket
import subprocess
import sys
import threading
from collections.abc import Iterator
from contextlib import closing, contextmanager
from urllib.parse import urlencode

import pytest
from django.conf import settings
from django.test import Client

from cases.models import Person
from me_office import embedded
from me_office.accounts.roles import Role
from me_office.audit.ids import new_id
from me_office.audit.models import AuditEvent, RequestAnswer
from tests.builders import make_case, make_staff
from tests.cases.browsing import page
from tests.conftest import LONGEST_WAIT, ROOT
from tests.faults.relay import Relay

pytestmark = pytest.mark.django_db(transaction=True)
NAME = "Mara Hallstead-Quay"
TOKEN = "a" * 32


@pytest.fixture
def relay() -> Iterator[Relay]:
    wire = Relay()
    yield wire
    wire.close()


class Web:
    """The web server as it runs for an office, on the test's database through a wire."""

    def __init__(self, relay: Relay, held: socket.socket) -> None:
        self.port = held.getsockname()[1]
        command = ["gunicorn", "me_office.wsgi", "--no-control-socket", "--log-level=critical",
                   "-k", "me_office.serve.BufferingWorker", "--threads=2",
                   f"--bind=fd://{held.fileno()}"]  # fmt: skip
        self.process = subprocess.Popen(
            [sys.executable, "-m", *command],
            cwd=ROOT,
            env=relay.environment,
            pass_fds=[held.fileno()],
            preexec_fn=embedded.end_with_parent,
            start_new_session=True,
        )

    def kill(self) -> None:
        """End it as a power cut would, with its workers."""
        os.killpg(self.process.pid, signal.SIGKILL)
        self.process.wait(LONGEST_WAIT)

    def ask(self, method: str, path: str, body: str = "", cookie: str = "") -> tuple[int, str]:
        """Return status and words of an answer."""
        with closing(
            http.client.HTTPConnection("127.0.0.1", self.port, timeout=LONGEST_WAIT)
        ) as on:
            head = {"Host": "localhost", "Cookie": f"{cookie}; {settings.CSRF_COOKIE_NAME}={TOKEN}"}
            if body:
                head["Content-Type"] = "application/x-www-form-urlencoded"
            on.request(method, path, body=body or None, headers=head)
            answer = on.getresponse()
            return answer.status, answer.read().decode()


@contextmanager
def web_server(relay: Relay) -> Iterator[Web]:
    with socket.create_server(("127.0.0.1", 0)) as held:
        web = Web(relay, held)
        try:
            yield web
        finally:
            embedded.stop(web.process, seconds=LONGEST_WAIT)


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


def test_while_the_database_is_away_pages_say_so_and_the_service_comes_back_by_itself(relay, form):
    path, body, cookie = form
    with web_server(relay) as web:
        assert web.ask("GET", path, cookie=cookie)[0] == 200
        relay.cut()
        for method, sent in (("GET", ""), ("POST", body), ("GET", "")):
            status, words = web.ask(method, path, sent, cookie)
            assert status == 503
            assert "does not answer just now" in words
        assert counted() == (0, 0, 0)
        relay.mend()
        assert web.ask("GET", path, cookie=cookie)[0] == 200
        for _ in range(2):
            assert web.ask("POST", path, body, cookie)[0] == 302
        assert counted() == (1, 1, 1)


def test_a_database_lost_at_the_commit_leaves_one_record_once_it_is_sent_again(relay, form):
    path, body, cookie = form
    with web_server(relay) as web:
        assert web.ask("GET", path, cookie=cookie)[0] == 200
        relay.watch(NAME.encode(), answered=False)
        got = []
        sending = threading.Thread(target=lambda: got.append(web.ask("POST", path, body, cookie)))
        sending.start()
        assert relay.arrived.wait(LONGEST_WAIT)
        relay.cut()
        sending.join(LONGEST_WAIT)
        [(status, words)] = got
        assert status == 503
        # Nobody can know here whether it was saved, so the page does not say that it was not.
        assert "was not saved" not in words
        assert "Send it again" in words
        relay.mend()
        assert counted() == (0, 0, 0)
        assert web.ask("POST", path, body, cookie)[0] == 302
        assert counted() == (1, 1, 1)


@pytest.mark.parametrize("answered", [False, True], ids=["before", "after"])
def test_a_web_process_killed_at_the_commit_leaves_one_record_once_it_is_sent_again(
    relay, form, answered
):
    path, body, cookie = form
    with web_server(relay) as web:
        assert web.ask("GET", path, cookie=cookie)[0] == 200
        relay.watch(NAME.encode(), answered=answered)
        failed = []

        def send() -> None:
            try:
                web.ask("POST", path, body, cookie)
            except (http.client.HTTPException, ConnectionError) as error:
                failed.append(error)

        sending = threading.Thread(target=send)
        sending.start()
        assert relay.arrived.wait(LONGEST_WAIT)
        web.kill()
        sending.join(LONGEST_WAIT)
        assert failed
        relay.cut()
        relay.mend()
    assert counted() == ((1, 1, 1) if answered else (0, 0, 0))
    with web_server(relay) as web:
        assert web.ask("POST", path, body, cookie)[0] == 302
    assert counted() == (1, 1, 1)
