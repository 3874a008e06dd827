"""A mail server of a test: takes mails, refuses them, or never answers."""

from __future__ import annotations

import socket
import threading
from contextlib import suppress
from typing import Self

# What it is asked to do with a mail once it has come whole.
TAKES, REFUSES, IS_SILENT = "250 taken", "451 later", ""


class MailServer:
    """Listens on a port of its own; `mails` holds what came whole, in order."""

    def __init__(self, answer: str = TAKES) -> None:
        self.answer = answer
        self.mails: list[str] = []
        self.over = threading.Event()
        self.server = socket.create_server(("127.0.0.1", 0))
        self.port: int = self.server.getsockname()[1]

    def __enter__(self) -> Self:
        threading.Thread(target=self._take, daemon=True).start()
        return self

    def __exit__(self, *_: object) -> None:
        self.over.set()
        self.server.close()

    def _take(self) -> None:
        with suppress(OSError):
            while True:
                client, _ = self.server.accept()
                with client, suppress(OSError):
                    self._talk(client)

    def _talk(self, client: socket.socket) -> None:
        lines = client.makefile("rb")
        say = client.sendall
        say(b"220 mail.invalid\r\n")
        for line in lines:
            word = line[:4].upper().strip()
            if word == b"DATA":
                say(b"354 go on\r\n")
                self.mails.append(_until_the_point(lines))
                if not self.answer:
                    self.over.wait(30)
                    return
                say(f"{self.answer}\r\n".encode())
            else:
                say(b"221 bye\r\n" if word == b"QUIT" else b"250 right\r\n")


def _until_the_point(lines: socket.SocketIO) -> str:
    found = []
    for line in iter(lines.readline, b".\r\n"):
        found.append(line.decode())
    return "".join(found)
