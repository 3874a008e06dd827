"""Loads the whole demonstration: the people, then case by case, oldest first."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager

from django.db import connection

from me_office.accounts.models import Staff
from me_office.audit.models import RequestAnswer
from me_office.demo.cases import CASES
from me_office.demo.office import ADMINISTRATOR, key_of, open_accounts
from me_office.demo.painting import painters
from me_office.demo.player import Player
from me_office.demo.scenario import DemoCase

ACT = "load_demo"


def load_office(
    *,
    picture_width: int,
    say: Callable[[str], None],
    beside: bool = True,
    cases: Sequence[DemoCase] = CASES,
) -> int:
    """Load what is not loaded yet; return the number of cases that were played.

    `beside` lets a process of its own paint the pictures.
    What was loaded to its end is never touched again, whatever people did with it since.
    """
    if is_loaded("office"):
        return 0
    played = 0
    with _quick_commits(), painters(beside=beside) as painter:
        staff = open_accounts()
        for index, case in enumerate(cases):
            if not is_loaded(case.name):
                Player(case, index, staff, picture_width=picture_width, painter=painter).play()
                note_loaded(case.name, staff)
                played += 1
                say(f"Loaded {case.name}.")
    note_loaded("office", staff)
    return played


@contextmanager
def _quick_commits() -> Iterator[None]:
    """Wait for no disk at each commit: after a power cut the load is taken up where it stands.

    Commits keep their order, and the last note waits for the disk again.
    """
    with connection.cursor() as cursor:
        cursor.execute("SET synchronous_commit TO off")
    try:
        yield
    finally:
        with connection.cursor() as cursor:
            cursor.execute("RESET synchronous_commit")


def is_loaded(name: str) -> bool:
    """Tell whether a case, or the whole office, was loaded to its end."""
    return RequestAnswer.objects.filter(key=key_of("loaded", name), act=ACT).exists()


def note_loaded(name: str, staff: dict[str, Staff]) -> None:
    """Note that a case, or the whole office, was loaded to its end."""
    RequestAnswer.objects.get_or_create(
        key=key_of("loaded", name),
        act=ACT,
        ordinal=0,
        defaults={"actor": staff[ADMINISTRATOR.username], "record_type": "none"},
    )
