"""A mail server that answers byte by byte keeps no worker, and a mail is told as it stands."""

from __future__ import annotations

import socket
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from threading import Event, Thread, Timer
from threading import enumerate as threads
from typing import Any, ClassVar

import pytest
from django.core.mail.backends.locmem import EmailBackend
from django.utils import timezone

from cases.letters import conversation, mailing
from tests.builders import make_case
from tests.letters.builders import made, mailed
from tests.packets.builders import make_request

pytestmark = pytest.mark.django_db

ANSWERS = {
    b"ehlo": b"250 mail.invalid\r\n", b"mail": b"250 ok\r\n", b"rcpt": b"250 ok\r\n",
    b"data": b"354 go on\r\n", b".": b"250 taken\r\n", b"quit": b"221 bye\r\n",
}  # fmt: skip
HELLO = b"hello"


class Server:
    """Speaks as mail servers do, and from one word on a byte at a time, without end."""

    def __init__(self, slow: bytes, is_late: Callable[[], None]) -> None:
        self.slow, self.is_late, self.over = slow, is_late, Event()
        self.heard: list[bytes] = []
        self.listening = socket.create_server(("127.0.0.1", 0))
        self.thread = Thread(target=self._serve, daemon=True)
        self.thread.start()

    def _serve(self) -> None:
        while not self.over.is_set():
            with suppress(OSError):
                one, _ = self.listening.accept()
                with one:
                    self._speak(one)

    def _speak(self, one: socket.socket) -> None:
        self._answer(one, HELLO, b"220 mail.invalid\r\n")
        inside = False
        for line in one.makefile("rb"):
            word = line.strip().split(b" ")[0].lower()
            if inside and word != b".":
                continue
            inside = word == b"data"
            self._answer(one, word, ANSWERS.get(word, b"250 ok\r\n"))

    def _answer(self, one: socket.socket, word: bytes, said: bytes) -> None:
        self.heard.append(word)
        if word != self.slow:
            one.sendall(said)
            return
        for number in range(400):
            one.sendall(b"2")
            if number == 3:
                self.is_late()
            if self.over.wait(0.01):
                return

    def stop(self) -> None:
        self.over.set()
        self.listening.shutdown(socket.SHUT_RDWR)
        self.listening.close()
        self.thread.join(5)


@contextmanager
def serving(settings: Any, slow: bytes, is_late: Callable[[], None]) -> Iterator[Server]:
    server = Server(slow, is_late)
    settings.EMAIL_BACKEND = "django.core.mail.backends.smtp.EmailBackend"
    settings.EMAIL_HOST, settings.EMAIL_PORT = server.listening.getsockname()
    settings.EMAIL_USE_TLS = settings.EMAIL_USE_SSL = False
    settings.EMAIL_HOST_USER = settings.EMAIL_HOST_PASSWORD = ""
    try:
        yield server
    finally:
        server.stop()


class Clock:
    """A timer whose time is over when the server says so."""

    waiting: ClassVar[list[tuple[float, Callable[[], None]]]] = []
    daemon = False

    def __init__(self, seconds: float, then: Callable[[], None]) -> None:
        self.of = (seconds, then)

    def start(self) -> None:
        self.waiting.append(self.of)

    def cancel(self) -> None:
        self.waiting.remove(self.of)

    @classmethod
    def strike(cls) -> None:
        cls.waiting[-1][1]()


@pytest.mark.parametrize(
    ("slow", "outcome", "fault"),
    [
        (HELLO, "", "was not reached"),
        (b"ehlo", "", "ended before it was taken"),
        (b"rcpt", "", "ended before it was taken"),
        # From here on the server may have it.
        (b"data", "unknown", "the connection ended meanwhile"),
        (b".", "unknown", "the connection ended meanwhile"),
        # It has said yes: what it says of the goodbye changes nothing.
        (b"quit", "sent", ""),
        (b"never", "sent", ""),
    ],
)
def test_a_server_that_drips_is_cut_and_what_it_may_have_is_told(
    clerk, settings, monkeypatch, slow, outcome, fault
):
    monkeypatch.setattr(conversation, "Timer", Clock)
    sending = mailed(made(make_request(make_case(), clerk), clerk), clerk)
    with serving(settings, slow, Clock.strike) as server:
        assert mailing.send_letters(timezone.now()) == (outcome == "sent")
    sending.refresh_from_db()
    assert (sending.outcome, sending.mail.outcome) == (outcome, outcome)
    assert fault in sending.mail.fault and bool(fault) is bool(sending.mail.fault)
    if slow in server.heard:
        assert server.heard[-1] == slow, "nothing is said after the cut"
    assert Clock.waiting == []


def test_a_letter_goes_out_through_another_way_as_before(settings):
    settings.EMAIL_BACKEND = "django.core.mail.backends.locmem.EmailBackend"
    link = conversation.link_to_server()
    assert isinstance(link, EmailBackend) and conversation.was_offered(link)


def test_a_mail_may_take_a_minute_and_is_cut_by_a_timer_that_ends_with_it(settings):
    link = conversation.Link(host="mail.invalid")
    mine, its = socket.socketpair()
    with mine, its:
        link.hold(mine)
        with link.within(0.01):
            assert its.recv(1) == b"", "cut by the clock itself"
        assert link.late
        link.hold(None)
    # The first timer may still be on its way out.
    before = set(threads())
    with conversation.in_time(link):
        new = [one for one in threads() if isinstance(one, Timer) and one not in before]
        assert [one.interval for one in new] == [60.0]
        assert not link.late
    assert not any(isinstance(one, Timer) and not one.finished.is_set() for one in threads())
