"""A conversation with the mail server that is over within a time, however slowly it answers.

A socket's timeout begins anew with each byte: a server that sends one a second is never late by it.
"""

from __future__ import annotations

import smtplib
import socket
from collections.abc import Iterator
from contextlib import AbstractContextManager, contextmanager, nullcontext, suppress
from threading import Timer
from typing import Any

from django.conf import settings
from django.core.mail import get_connection
from django.core.mail.backends.smtp import EmailBackend

# What one mail may take, from the first word of the server to its last.
LONGEST_SECONDS = 60.0
GOODBYE_SECONDS = 5.0
_OF_DJANGO = "django.core.mail.backends.smtp.EmailBackend"


def link_to_server() -> Any:
    """Return the way to the mail server that is set; with a server, one that ends in time."""
    if settings.EMAIL_BACKEND == _OF_DJANGO:
        return Link()
    return get_connection()


def in_time(link: Any) -> AbstractContextManager[None]:
    """Let one mail take so long and no longer."""
    return link.within(LONGEST_SECONDS) if isinstance(link, Link) else nullcontext()


def was_offered(link: Any) -> bool:
    """Tell whether the server may have the mail: it was asked to take it, or nobody noted that."""
    return link.offered if isinstance(link, Link) else True


class Link(EmailBackend):
    """Django's way to the mail server, which can be cut at any moment of the conversation."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        # The same connection by a number of its own: it is cut below whatever is laid over it.
        self.cut_at: socket.socket | None = None
        # Whether the server was asked to take the mail itself: from then on it may have it.
        self.offered = False
        self.late = False

    @property
    def connection_class(self) -> Any:
        """Return what speaks with the server, noting connection and offer here."""
        return _noting(self)

    @contextmanager
    def within(self, seconds: float) -> Iterator[None]:
        """Cut the connection where what is done here takes longer."""
        self.offered = self.late = False
        timer = Timer(seconds, self._cut)
        timer.daemon = True
        timer.start()
        try:
            yield
        finally:
            timer.cancel()

    def close(self) -> None:
        """Say goodbye, and wait for no answer that does not come."""
        try:
            with self.within(min(GOODBYE_SECONDS, LONGEST_SECONDS)):
                super().close()
        finally:
            self.hold(None)

    def hold(self, connection: socket.socket | None) -> None:
        """Keep hold of a new connection, or let go of it."""
        if self.cut_at is not None:
            self.cut_at.close()
        self.cut_at = connection.dup() if connection is not None else None
        if self.late:
            self._cut()

    def _cut(self) -> None:
        self.late = True
        if self.cut_at is not None:
            with suppress(OSError):
                self.cut_at.shutdown(socket.SHUT_RDWR)


def _noting(link: Link) -> type[smtplib.SMTP]:
    class Plain(smtplib.SMTP):
        def _get_socket(self, *args: Any) -> socket.socket:
            # Below TLS: a handshake may take for ever, too.
            made: socket.socket = super()._get_socket(*args)  # type: ignore[misc]
            link.hold(made)
            return made

        def data(self, *args: Any) -> Any:
            link.offered = True
            return super().data(*args)

    class Secret(smtplib.SMTP_SSL, Plain):
        pass

    return Secret if link.use_ssl else Plain
