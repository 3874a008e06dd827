"""Looks every minute and mails what is wrong, also while the database or the queue is away."""

from __future__ import annotations

import signal
import threading
from contextlib import suppress
from time import monotonic
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError, CommandParser

from me_office.upkeep.watch import EVERY_SECONDS, Watch, log, take_place


class Command(BaseCommand):
    """`manage.py watch`: a process that lasts."""

    help = "Look every minute and mail what is wrong; one only."
    # It begins while whatever it is to tell of is away.
    requires_system_checks: list[str] = []

    def add_arguments(self, parser: CommandParser) -> None:
        """Offer one look."""
        parser.add_argument("--once", action="store_true", help="one look, for a timer of your own")

    def handle(self, *args: Any, **options: Any) -> None:
        """Watch until somebody asks to stop; a look that was begun is finished."""
        with suppress(OSError):  # the web process makes the folder, too
            settings.SPOOL_DIR.mkdir(parents=True, exist_ok=True)
        try:
            place = take_place(settings.SPOOL_DIR, wait=not options["once"])
        except BlockingIOError as error:
            raise CommandError("Another watch runs on this machine.") from error
        try:
            self._watch(Watch(settings.SPOOL_DIR), once=options["once"])
        finally:
            if place is not None:
                place.close()

    def _watch(self, watch: Watch, *, once: bool) -> None:
        if once:
            watch.look()
            return
        over = threading.Event()
        for number in (signal.SIGTERM, signal.SIGINT):
            signal.signal(number, lambda *_: over.set())
        while not over.is_set():
            began = monotonic()
            try:
                watch.look()
            except Exception:  # whatever it was, the next minute is looked at
                log.exception("A look of the watch was interrupted")
            over.wait(max(0.0, EVERY_SECONDS - (monotonic() - began)))
