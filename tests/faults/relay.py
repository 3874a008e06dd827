"""A wire between the web server and PostgreSQL that a test can cut, and hold at one moment."""

from __future__ import annotations

import socket
import tempfile
import threading
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from django.db import connection

from tests.conftest import LONGEST_WAIT

NAME = ".s.PGSQL.5432"


@contextmanager
def ended(end: socket.socket) -> Iterator[None]:
    """End a connection for both sides, also where another thread reads it just now.

    Closing alone would not wake that thread, and PostgreSQL would keep the transaction open.
    """
    try:
        yield
    finally:
        with suppress(OSError):
            end.shutdown(socket.SHUT_RDWR)
        end.close()


class Relay:
    """Passes on what client and server say, connection by connection.

    `cut()` ends every connection and takes no new one; `mend()` takes them again. `watch(mark)`
    waits for a transaction that writes `mark`: its COMMIT, or with `answered` the answer to it, is
    not passed on; `arrived` is set, and the connection waits for `cut()`.
    """

    def __init__(self) -> None:
        self.folder = tempfile.TemporaryDirectory(prefix="office-wire-", dir="/tmp")
        settings = connection.settings_dict
        self.real = f"{settings['HOST']}/.s.PGSQL.{settings['PORT'] or 5432}"
        self.refusing = False
        self.away = threading.Event()
        self.arrived = threading.Event()
        self.mark, self.answered = b"", False
        self.open: list[socket.socket] = []
        self.server = socket.socket(socket.AF_UNIX)
        self.server.bind(str(Path(self.folder.name) / NAME))
        self.server.listen(50)
        threading.Thread(target=self._take, daemon=True).start()

    def cut(self) -> None:
        """End every connection, and refuse new ones."""
        self.refusing = True
        for end in self.open:
            with suppress(OSError):
                end.shutdown(socket.SHUT_RDWR)
        self.open.clear()
        self.away.set()

    def mend(self) -> None:
        """Take connections again."""
        self.mark = b""
        self.away.clear()
        self.refusing = False

    def watch(self, mark: bytes, *, answered: bool) -> None:
        """Hold the transaction that writes these words where it is committed."""
        self.arrived.clear()
        self.mark, self.answered = mark, answered

    def close(self) -> None:
        """End everything."""
        self.cut()
        self.server.close()
        self.folder.cleanup()

    def _take(self) -> None:
        with suppress(OSError):
            while True:
                client, _ = self.server.accept()
                if self.refusing:
                    client.close()
                    continue
                server = socket.socket(socket.AF_UNIX)
                server.connect(self.real)
                self.open += [client, server]
                talk = Talk(self, client, server)
                threading.Thread(target=talk.asked, daemon=True).start()
                threading.Thread(target=talk.told, daemon=True).start()


class Talk:
    """One connection."""

    def __init__(self, relay: Relay, client: socket.socket, server: socket.socket) -> None:
        self.relay, self.client, self.server = relay, client, server
        self.marked = self.held = False

    def asked(self) -> None:
        """Pass on what the client says."""
        with ended(self.server), suppress(OSError):
            while said := self.client.recv(65536):
                self.marked |= bool(self.relay.mark) and self.relay.mark in said
                if self.marked and b"COMMIT" in said:
                    self.held = True
                    if not self.relay.answered:
                        self._hold()
                        return
                self.server.sendall(said)

    def told(self) -> None:
        """Pass on what the server says."""
        with ended(self.client), suppress(OSError):
            while said := self.server.recv(65536):
                if self.held:
                    self._hold()
                    return
                self.client.sendall(said)

    def _hold(self) -> None:
        self.relay.arrived.set()
        self.relay.away.wait(LONGEST_WAIT)
