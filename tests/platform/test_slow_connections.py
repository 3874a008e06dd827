"""Whoever sends or reads slowly keeps nobody waiting, without a proxy and without signing in."""

from __future__ import annotations

import http.client
import os
import socket
import time
from collections.abc import Iterator
from contextlib import ExitStack, closing, contextmanager, suppress
from typing import Any

import pytest
from waitress import wasyncore
from waitress.server import create_server

from me_office import serve
from tests.apart import Apart, as_web_server
from tests.conftest import LONGEST_WAIT

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.usefixtures("processes")]
SLOW = 50


@contextmanager
def web_server(*options: str) -> Iterator[int]:
    """Run the web server on the test's database; lend its port."""
    with socket.create_server(("127.0.0.1", 0)) as held:
        server = Apart(as_web_server, held, *options)
        try:
            yield held.getsockname()[1]
        finally:
            server.stop()


def status_of(port: int, path: str, *, seconds: float = LONGEST_WAIT) -> int:
    with closing(http.client.HTTPConnection("127.0.0.1", port, timeout=seconds)) as link:
        link.request("GET", path, headers={"Host": "localhost", "X-Forwarded-Proto": "https"})
        answer = link.getresponse()
        answer.read()
        return answer.status


def slow(port: int, sent: bytes, receive_buffer: int = 0) -> socket.socket:
    """Open a connection, send a beginning, and then nothing more."""
    link = socket.socket()
    if receive_buffer:
        link.setsockopt(socket.SOL_SOCKET, socket.SO_RCVBUF, receive_buffer)
    link.connect(("127.0.0.1", port))
    link.sendall(sent)
    return link


HEAD = b"GET /sign-in/ HTTP/1.1\r\nHost: local"
BODY = (
    b"POST /sign-in/ HTTP/1.1\r\nHost: localhost\r\nX-Forwarded-Proto: https\r\n"
    b"Content-Type: application/x-www-form-urlencoded\r\nContent-Length: 5000\r\n\r\nlogin="
)
WHOLE = b"GET /sign-in/ HTTP/1.1\r\nHost: localhost\r\nX-Forwarded-Proto: https\r\n\r\n"


def test_fifty_slow_connections_keep_nobody_waiting_and_a_body_lies_on_the_disk():
    with web_server("--threads=2") as port, ExitStack() as held:
        with closing(http.client.HTTPConnection("127.0.0.1", port, timeout=LONGEST_WAIT)) as link:
            head = {"Host": "localhost", "X-Forwarded-Proto": "https"}
            link.request("POST", "/sign-in/", body=b"x" * 3_000_000, headers=head)
            assert link.getresponse().status in {400, 403, 413}
        too_long = (
            b"POST /sign-in/ HTTP/1.1\r\nHost: localhost\r\nContent-Length: 99999999999\r\n\r\n"
        )
        with closing(slow(port, too_long)) as link:
            link.settimeout(LONGEST_WAIT)
            assert b" 413 " in link.recv(200)
        for number in range(SLOW):
            kind = (HEAD, BODY, WHOLE * 200)[number % 3]
            held.enter_context(closing(slow(port, kind, receive_buffer=2048)))
        for _ in range(5):
            assert status_of(port, "/health/") == 200
            assert status_of(port, "/sign-in/") == 200


def test_control_a_thread_a_connection_is_stopped_by_a_few():
    with web_server("-k", "gthread", "--threads=2") as port, ExitStack() as held:
        assert status_of(port, "/health/") == 200
        for _ in range(4):
            held.enter_context(closing(slow(port, BODY)))
        with pytest.raises(TimeoutError):
            status_of(port, "/health/", seconds=2)


@pytest.mark.parametrize("pieces", [1, 10], ids=["answered", "being answered"])
def test_who_stops_reading_gives_the_thread_and_the_connection_back(pieces):
    """A socket that nobody reads is never ready: the loop alone would keep it for ever."""
    piece, links = bytes(4_000_000), dict[int, Any]()

    def answer(environ: Any, start: Any) -> Any:
        start("200 OK", [("Content-Type", "application/octet-stream")])
        return [b"short"] if environ["PATH_INFO"] == "/short" else (piece for _ in range(pieces))

    def turn() -> None:
        assert time.monotonic() < until
        wasyncore.loop(timeout=0.05, use_poll=True, map=links, count=1)

    with socket.create_server(("127.0.0.1", 0)) as listening, ExitStack() as held:
        server = create_server(
            answer, map=links, sockets=[listening], threads=1, outbuf_high_watermark=6_000_000
        )
        held.callback(wasyncore.close_all, links, ignore_all=True)
        held.callback(server.task_dispatcher.shutdown, timeout=1)
        for one in links.values():
            if hasattr(one, "channel_class"):
                one.channel_class = serve.Connection
        until = time.monotonic() + LONGEST_WAIT
        asking = b"GET / HTTP/1.0\r\n\r\n"
        held.enter_context(closing(slow(listening.getsockname()[1], asking, receive_buffer=2048)))
        while not (kept := serve._connections(links)) or not kept[0].total_outbufs_len:
            turn()
        if pieces == 1:
            while kept[0].requests:
                turn()
        assert serve.cut_off_slow(kept, now=time.monotonic()) == 0
        kept[0].last_activity -= serve.READ_IDLE_SECONDS + 1
        assert serve.cut_off_slow(kept, now=time.monotonic()) == 1
        assert serve._connections(links) == []
        other = held.enter_context(
            closing(slow(listening.getsockname()[1], b"GET /short HTTP/1.0\r\n\r\n"))
        )
        other.setblocking(False)
        came = b""
        while b"200 OK" not in came:
            turn()
            with suppress(BlockingIOError):
                came += other.recv(100)


class Link(serve.Connection):
    """A connection as far as the rules look at it."""

    def __init__(
        self, *, age=0.0, silent=0.0, head=True, body=None, answer=0, served=False,
        reading=None, read=0,
    ):  # fmt: skip
        now = time.monotonic()
        self.reading_since = None if reading is None else now - reading
        self.read_bytes = read
        self.closed = False
        self.begun_at = now - age
        self.last_activity = time.time() - silent
        self.requests = [object()] if served else []
        self.total_outbufs_len = answer
        self.request = None if body is None else Unfinished(head, body)

    def handle_close(self):
        self.closed = True


class Unfinished:
    def __init__(self, headers_finished: bool, body: int) -> None:
        self.headers_finished = headers_finished
        self.body_bytes_received = body


@pytest.mark.parametrize(
    ("link", "cut"),
    [
        ({}, False),
        ({"silent": serve.IDLE_SECONDS - 1}, False),
        ({"silent": serve.IDLE_SECONDS + 1}, True),
        ({"head": False, "body": 0, "age": serve.HEAD_SECONDS - 1}, False),
        ({"head": False, "body": 0, "age": serve.HEAD_SECONDS + 1}, True),
        ({"body": 0, "age": serve.BODY_GRACE_SECONDS - 1}, False),
        ({"body": 0, "age": serve.BODY_GRACE_SECONDS + 1}, True),
        ({"body": 100 * serve.LEAST_BYTES_A_SECOND + 900, "age": 100}, False),
        ({"body": 100 * serve.LEAST_BYTES_A_SECOND - 900, "age": 100}, True),
        ({"answer": 9, "silent": serve.READ_IDLE_SECONDS - 1}, False),
        ({"answer": 9, "silent": serve.READ_IDLE_SECONDS + 1}, True),
        ({"served": True, "silent": 9999, "age": 9999}, False),
        ({"served": True, "answer": 9, "silent": serve.READ_IDLE_SECONDS - 1}, False),
        ({"served": True, "answer": 9, "silent": serve.READ_IDLE_SECONDS + 1}, True),
        # Read by drops: never silent, and not done in a reasonable time either.
        ({"answer": 9, "reading": serve.BODY_GRACE_SECONDS - 1}, False),
        ({"answer": 9, "reading": serve.BODY_GRACE_SECONDS + 1}, True),
        ({"served": True, "answer": 9, "reading": 100, "read": 103_000}, False),
        ({"served": True, "answer": 9, "reading": 100, "read": 101_000}, True),
        ({"reading": 100}, False),
    ],
)  # fmt: skip
def test_what_takes_too_long_is_cut_off(link, cut):
    one = Link(**link)
    assert serve.cut_off_slow([one, Link()], now=time.monotonic()) == int(cut)
    assert one.closed is cut


def test_where_too_much_lies_unfinished_the_largest_go_first():
    sizes = [3, 1, 2, 1, 3]
    links = [Link(body=size * serve.MOST_WAITING_BYTES // 4) for size in sizes]
    assert serve.cut_off_slow(links, now=time.monotonic()) == 2
    assert [one.closed for one in links] == [True, False, False, False, True]


def test_as_many_files_may_be_open_as_the_machine_allows():
    import resource

    before = resource.getrlimit(resource.RLIMIT_NOFILE)
    try:
        resource.setrlimit(resource.RLIMIT_NOFILE, (256, before[1]))
        serve._open_as_many_files_as_allowed()
        assert resource.getrlimit(resource.RLIMIT_NOFILE)[0] > 256
    finally:
        resource.setrlimit(resource.RLIMIT_NOFILE, before)
    assert os.getpid()
