"""The worker of the web server: it spends no thread on a connection, only on a whole request.

Used as `gunicorn me_office.wsgi -k me_office.serve.BufferingWorker`. An event loop (waitress)
reads each request to its end, into a file where it is long, before one of the threads is given
it, and sends what a thread answered. Whoever sends or reads slowly therefore keeps nobody waiting,
signed in or not, with or without a proxy in front. What takes too long is cut off.
"""

from __future__ import annotations

import os
import resource
import tempfile
import time
from typing import Any

from gunicorn.workers.base import Worker
from waitress import wasyncore
from waitress.channel import HTTPChannel
from waitress.server import create_server

# How long the head of a request may take to come, and a connection may lie idle.
HEAD_SECONDS = 20.0
IDLE_SECONDS = 75.0
# A body may take its time on a bad line, but not for ever: after the first half minute it must
# have come this fast on the average. A megabyte takes a quarter of an hour then.
BODY_GRACE_SECONDS = 30.0
LEAST_BYTES_A_SECOND = 1024
# The same for an answer that is read slowly. One that is longer than what is put aside, and is no
# file, holds its thread until it is read.
READ_IDLE_SECONDS = 120.0
# What all unfinished requests of one process together may fill on the disk.
MOST_WAITING_BYTES = 4 * 1024**3
# More than this of one answer is not put aside for a slow reader.
MOST_ANSWER_BYTES = 64 * 1024**2
# A piece of an upload, or a form with a photograph in it, and the words around it.
AROUND_A_FILE_BYTES = 16 * 1024**2
MOST_CONNECTIONS = 4000
GRACE_SECONDS = 25.0


class Connection(HTTPChannel):
    """A connection that knows since when its request is coming, or its answer is being read."""

    begun_at = 0.0
    reading_since: float | None = None
    read_bytes = 0

    def received(self, data: bytes) -> Any:
        """Take what came; the clock of a request runs from its first byte."""
        if self.request is None:
            self.begun_at = time.monotonic()
        return super().received(data)

    def send(self, data: bytes, do_close: bool = True) -> int:
        """Send what the other side takes, and count it."""
        sent: int = super().send(data, do_close=do_close)
        self.read_bytes += sent
        return sent

    @property
    def waiting_bytes(self) -> int:
        """How much of an unfinished body lies here."""
        return self.request.body_bytes_received if self.request is not None else 0

    def why_to_close(self, now: float) -> str:
        """Return why this connection is cut off, or nothing."""
        silent = time.time() - self.last_activity
        if self.total_outbufs_len:
            return "read too slowly" if self._reads_too_slowly(now, silent) else ""
        self.reading_since = None
        if self.requests:  # a thread is at it
            return ""
        if self.request is None:
            return "idle" if silent > IDLE_SECONDS else ""
        took = now - self.begun_at
        if not self.request.headers_finished:
            return "sent its head too slowly" if took > HEAD_SECONDS else ""
        if took > BODY_GRACE_SECONDS and self.waiting_bytes < took * LEAST_BYTES_A_SECOND:
            return "sent its body too slowly"
        return ""

    def _reads_too_slowly(self, now: float, silent: float) -> bool:
        if self.reading_since is None:
            self.reading_since, self.read_bytes = now, 0
        took = now - self.reading_since
        by_drops = took > BODY_GRACE_SECONDS and self.read_bytes < took * LEAST_BYTES_A_SECOND
        return by_drops or silent > READ_IDLE_SECONDS


def cut_off_slow(connections: list[Connection], *, now: float) -> int:
    """Close what takes too long, and the largest where too much lies here; return how many.

    Called by the thread of the event loop, which owns the sockets.
    """
    closing = [one for one in connections if one.why_to_close(now)]
    left = sorted(set(connections) - set(closing), key=lambda one: one.waiting_bytes)
    waiting = sum(one.waiting_bytes for one in left)
    while left and waiting > MOST_WAITING_BYTES:
        largest = left.pop()
        waiting -= largest.waiting_bytes
        closing.append(largest)
    for one in closing:
        # At once: a socket whose other side reads nothing is never ready to be told later. A
        # thread that waits for it is woken, and gives its answer up.
        one.handle_close()
    return len(closing)


class BufferingWorker(Worker):
    """A worker process of gunicorn whose requests come in whole."""

    def run(self) -> None:
        """Serve until gunicorn says that it is over, then finish what was begun."""
        from django.conf import settings

        _open_as_many_files_as_allowed()
        settings.SPOOL_DIR.mkdir(parents=True, exist_ok=True)
        tempfile.tempdir = str(settings.SPOOL_DIR)
        everything: dict[int, Any] = {}
        server = create_server(
            self.wsgi,
            map=everything,
            sockets=[one.sock for one in self.sockets],
            threads=self.cfg.threads,
            connection_limit=MOST_CONNECTIONS,
            channel_timeout=int(READ_IDLE_SECONDS * 2),
            cleanup_interval=3600,  # `cut_off_slow` does it
            outbuf_high_watermark=MOST_ANSWER_BYTES,
            max_request_header_size=64 * 1024,
            max_request_body_size=settings.PHOTOGRAPH_MAX_BYTES + AROUND_A_FILE_BYTES,
            # The application knows which proxy it trusts.
            clear_untrusted_proxy_headers=False,
            ident="office",
            asyncore_use_poll=True,
            log_socket_errors=False,
        )
        for listening in everything.values():
            if hasattr(listening, "channel_class"):
                listening.channel_class = Connection
        swept = 0.0
        while self.alive:
            self.notify()
            if self.ppid != os.getppid():
                self.log.info("The parent ended; this worker ends too.")
                break
            wasyncore.loop(timeout=1.0, use_poll=True, map=everything, count=1)
            now = time.monotonic()
            if now - swept > 1.0:
                swept = now
                cut_off_slow(_connections(everything), now=now)
        self._finish(server, everything)

    def _finish(self, server: Any, everything: dict[int, Any]) -> None:
        for number, one in list(everything.items()):
            if hasattr(one, "channel_class"):
                del everything[number]  # takes no new connection; the socket is gunicorn's
        until = time.monotonic() + GRACE_SECONDS
        while time.monotonic() < until and any(
            one.requests or one.total_outbufs_len for one in _connections(everything)
        ):
            self.notify()
            wasyncore.loop(timeout=0.2, use_poll=True, map=everything, count=1)
        server.task_dispatcher.shutdown(timeout=1)
        wasyncore.close_all(everything, ignore_all=True)


def _connections(everything: dict[int, Any]) -> list[Connection]:
    return [one for one in everything.values() if isinstance(one, Connection)]


def _open_as_many_files_as_allowed() -> None:
    soft, hard = resource.getrlimit(resource.RLIMIT_NOFILE)
    wanted = MOST_CONNECTIONS * 3
    most = wanted if hard == resource.RLIM_INFINITY else min(hard, wanted)
    if soft != resource.RLIM_INFINITY and soft < most:
        resource.setrlimit(resource.RLIMIT_NOFILE, (most, hard))
