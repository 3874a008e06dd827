"""The watch: a process that looks every minute and mails what is wrong, whatever else is away.

It needs no queue, and while the database is away none of that either: what it has told stands in a
file. A mail is noted once the server has taken it: who is ended between the two sends it a second
time, under the same Message-ID, and none is lost.
"""

from __future__ import annotations

import fcntl
import json
import logging
import os
import signal
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import datetime
from pathlib import Path
from time import monotonic
from types import FrameType
from typing import TextIO

from django.conf import settings
from django.db import Error, connection
from django.utils import timezone

from me_office.upkeep import beats, watching
from me_office.upkeep.conditions import Condition, State, look
from me_office.upkeep.models import Standing

log = logging.getLogger(__name__)
EVERY_SECONDS = 60.0
# A mail server may look at a mail for long before it takes it; whoever gives up too soon sends it
# again each time.
ANSWER_SECONDS, MAIL_SECONDS = 60.0, 120.0
# How long is waited after a mail that was not taken: twice as long each time, up to this.
LONGEST_WAIT_SECONDS = 900.0
DATABASE = "database"


class Memory:
    """How each condition stood and what was told of it: in a file, whole or not at all."""

    def __init__(self, path: Path) -> None:
        """Read what is there; what can't be read is begun anew, so that it is told once more."""
        self.path = path
        self.standings: dict[str, Standing] = {}
        try:
            for row in json.loads(path.read_text()):
                one = _from_row(row)
                self.standings[one.name] = one
        except FileNotFoundError:
            log.info("The watch begins, and has told of nothing yet.")
        except (OSError, ValueError, TypeError, KeyError) as error:
            self.standings = {}
            log.error(
                "What the watch has told can't be read (%s): it tells once more what is wrong.",
                type(error).__name__,
            )

    def keep(self) -> None:
        """Write it down; where that can't be done, go on with what is known here."""
        made = self.path.with_suffix(".new")
        try:
            with made.open("w") as file:
                json.dump([_row(one) for one in self.standings.values()], file, indent=1)
                file.flush()
                os.fsync(file.fileno())
            made.replace(self.path)
        except OSError as error:
            log.error("What the watch has told can't be kept (%s).", type(error).__name__)

    def due(self, found: list[Condition], now: datetime) -> list[Standing]:
        """Move each condition to what was found; return those of which people have to be told."""
        due = []
        for one in watching.worst(found):
            standing = self.standings.setdefault(
                one.name, Standing(name=one.name, state=State.RIGHT.value, looks=0, since=now)
            )
            _not_after(standing, now)
            if watching.move(standing, one, now):
                due.append(standing)
        return due


def _row(one: Standing) -> dict[str, object]:
    mailed = one.mailed_at and one.mailed_at.isoformat()
    return {
        "name": one.name, "state": one.state, "since": one.since.isoformat(), "looks": one.looks,
        "mailed_at": mailed,
    }  # fmt: skip


def _from_row(row: dict[str, str]) -> Standing:
    mailed = row["mailed_at"]
    return Standing(
        name=row["name"],
        state=State(row["state"]).value,
        since=_moment(row["since"]),
        looks=int(row["looks"]),
        mailed_at=_moment(mailed) if mailed else None,
    )


def _moment(said: str) -> datetime:
    moment = datetime.fromisoformat(said)
    if moment.tzinfo is None:
        raise ValueError(said)
    return moment


def _not_after(standing: Standing, now: datetime) -> None:
    """Bring what was noted by a clock that has been set back to now: a day is a day again."""
    standing.since = min(standing.since, now)
    if standing.mailed_at is not None:
        standing.mailed_at = min(standing.mailed_at, now)


class Watch:
    """One watch: its memory, and when it may send again."""

    def __init__(self, folder: Path) -> None:
        """Read the memory of a folder."""
        self.memory = Memory(folder / "watch.json")
        self.refused = 0
        self.not_before = 0.0

    def look(self) -> None:
        """Look at everything once, mail what is due, and say that this lives."""
        found = [one for one in look() if one.name != beats.WATCH]
        found, unseen = without_what_follows(found)
        now = timezone.now()
        due = self.memory.due(found, now)
        self.memory.keep()
        if due and settings.ADMINS and monotonic() >= self.not_before:
            self._mail(due, unseen, now)
        if any(one.name == DATABASE and one.state is State.RIGHT for one in found):
            _note_that_it_lives()

    def _mail(self, due: list[Standing], unseen: list[str], now: datetime) -> None:
        more = f"Not seen while the database is away: {', '.join(unseen)}." if unseen else ""
        mail = watching.letter(due, more)
        with at_most(MAIL_SECONDS):
            sent = watching.send(mail, patience=ANSWER_SECONDS)
        if not sent:
            wait = min(EVERY_SECONDS * 2**self.refused, LONGEST_WAIT_SECONDS)
            self.refused, self.not_before = self.refused + 1, monotonic() + wait
            return
        self.refused = 0
        for one in due:
            watching.note_told(one, now)
        self.memory.keep()


def without_what_follows(found: list[Condition]) -> tuple[list[Condition], list[str]]:
    """Leave out what can't be seen while the database is away; return the names of that.

    One alarm is enough, and how it stood before is how it stands when the database is back.
    """
    if all(one.state is State.RIGHT for one in found if one.name == DATABASE):
        return found, []
    unseen = [one for one in found if one.state is State.NOT_SEEN and one.name != DATABASE]
    return [one for one in found if one not in unseen], [one.name for one in unseen]


def _note_that_it_lives() -> None:
    try:
        beats.note(beats.WATCH)
    except Error:
        log.warning("The watch could not note that it lives", exc_info=True)
    finally:
        connection.close()


@contextmanager
def at_most(seconds: float) -> Iterator[None]:
    """Raise TimeoutError in the main thread where what is done takes longer."""

    def over(number: int, frame: FrameType | None) -> None:
        raise TimeoutError

    handler = signal.signal(signal.SIGALRM, over)
    before, _ = signal.setitimer(signal.ITIMER_REAL, seconds)
    try:
        yield
    finally:
        signal.setitimer(signal.ITIMER_REAL, before)
        signal.signal(signal.SIGALRM, handler)


def take_place(folder: Path, *, wait: bool) -> TextIO | None:
    """Be the only watch of a folder, waiting for another to end, or not. Raises BlockingIOError.

    None where no lock can be had: better two watches than none.
    """
    try:
        file = (folder / "watch.lock").open("a")
    except OSError as error:
        log.error("The watch can't make sure that it is the only one (%s).", type(error).__name__)
        return None
    try:
        fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except BlockingIOError:
        if not wait:
            file.close()
            raise
        log.warning("Another watch runs here: this one waits until it has ended.")
        fcntl.flock(file, fcntl.LOCK_EX)
    return file
