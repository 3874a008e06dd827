"""Loads the whole demonstration: the people, then every act of every case, as the days went."""

from __future__ import annotations

import heapq
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from datetime import datetime, time, timedelta
from uuid import UUID

from django.conf import settings
from django.db import connection
from django.utils import timezone

from cases.models import Case
from me_office.accounts.models import Staff
from me_office.audit.context import RequestFacts
from me_office.audit.models import RequestAnswer
from me_office.demo.cases import CASES
from me_office.demo.certificates import make_certificates
from me_office.demo.clock import told_at
from me_office.demo.office import ADMINISTRATOR, key_of, open_accounts
from me_office.demo.painting import painters
from me_office.demo.play import as_request
from me_office.demo.player import Player
from me_office.demo.retiming import SOURCE, Mover
from me_office.demo.scenario import DemoCase

ACT = "load_demo"
# The accounts were opened so long before the day of loading, in the morning.
OPENED_DAYS_AGO, OPENED = 60, time(9, 12, 30)
OPENING = key_of("office", "opened")


def load_office(
    *,
    picture_width: int,
    say: Callable[[str], None],
    beside: bool = True,
    mover: Mover | None = None,
    cases: Sequence[DemoCase] = CASES,
) -> int:
    """Load what is not loaded yet; return the number of cases that were played.

    `beside` lets a process of its own paint the pictures. With `mover`, and while nobody else has
    done anything here, every act carries its time in the story; else the time of loading.
    What was loaded to its end is never touched again, whatever people did with it since.
    """
    if is_loaded("office"):
        return 0
    story = Story(mover if mover is not None and mover.may_move() else None)
    with _quick_commits(), painters(beside=beside) as painter:
        staff = _people(story)
        players = [
            Player(
                case,
                index,
                staff,
                picture_width=picture_width,
                painter=painter,
                catch_up=story.move,
            )
            for index, case in enumerate(cases)
            if not is_loaded(case.name) and not is_of_long_ago(case.name)
        ]
        for player, n in as_the_days_went(players):
            with story.told(player.request_key(n), player.moments[n]):
                player.play(n)
            if n == player.order[-1]:
                story.move()
                note_loaded(player.case.name, staff)
                say(f"Loaded {player.case.name}.")
        story.move()
    note_loaded("office", staff)
    return len(players)


class Story:
    """The times of the story: told to the acts while they are played, then given to the trail."""

    def __init__(self, mover: Mover | None) -> None:
        """Note who moves the trail; without, everything keeps the time of loading."""
        self.mover = mover
        self.latest = timezone.now()
        self.waiting: dict[UUID, datetime] = {}
        self.under_way: UUID | None = None

    @contextmanager
    def told(self, key: UUID, moment: datetime) -> Iterator[None]:
        """Let an act take its moment for now; nothing is later than the loading itself."""
        if self.mover is None:
            yield
            return
        self.under_way = key
        moment = self.waiting[key] = min(moment, self.latest)
        with told_at(moment):
            yield
        self.under_way = None

    def move(self) -> None:
        """Move what the acts since the last time wrote into the trail."""
        if self.mover is not None and self.waiting:
            self.mover.move(self.waiting)
            # An act that is under way goes on writing.
            self.waiting = {k: v for k, v in self.waiting.items() if k == self.under_way}


def as_the_days_went(players: Sequence[Player]) -> Iterator[tuple[Player, int]]:
    """Yield the acts of all cases by their moments, each with its player."""

    def of(i: int) -> list[tuple[datetime, int, int]]:
        return [(players[i].moments[n], i, n) for n in players[i].order]

    for _, i, n in heapq.merge(*map(of, range(len(players)))):
        yield players[i], n


def _people(story: Story) -> dict[str, Staff]:
    day = timezone.localdate() - timedelta(days=OPENED_DAYS_AGO)
    opened = datetime.combine(day, OPENED, settings.OFFICE_ZONE)
    with (
        story.told(OPENING, opened),
        as_request(RequestFacts(source=SOURCE, request_id=str(OPENING))),
    ):
        staff = open_accounts()
        make_certificates(staff)
        return staff


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


def is_of_long_ago(name: str) -> bool:
    """Tell whether a case is there whose requests are forgotten, as the service does in time.

    The note that it was loaded is then gone too, and nobody could take its load up again.
    """
    first = RequestAnswer.objects.filter(key=key_of(name, "request", "0"))
    return Case.objects.filter(pk=key_of(name)).exists() and not first.exists()


def note_loaded(name: str, staff: dict[str, Staff]) -> None:
    """Note that a case, or the whole office, was loaded to its end."""
    RequestAnswer.objects.get_or_create(
        key=key_of("loaded", name),
        act=ACT,
        ordinal=0,
        defaults={"actor": staff[ADMINISTRATOR.username], "record_type": "none"},
    )
