"""What the acts of a case that is played share, and what each of them is given."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from concurrent.futures import Executor, Future
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from typing import Any
from uuid import UUID

from django.conf import settings
from django.utils import timezone

from cases.models import Case
from me_office.accounts.models import Staff
from me_office.audit.context import RequestFacts, current_request
from me_office.demo.office import key_of
from me_office.demo.painting import Order, Painted, paint
from me_office.demo.retiming import SOURCE
from me_office.demo.scenario import Act, DemoCase
from me_office.demo.times import moments

SEALS_A_CASE = 30


class Play:
    """A case that is being played: its people, keys, times, seals and painted photographs."""

    def __init__(
        self,
        case: DemoCase,
        index: int,
        staff: Mapping[str, Staff],
        *,
        picture_width: int,
        painter: Executor,
        catch_up: Callable[[], None] = lambda: None,
    ) -> None:
        """Note the people, the case's zero hour, and where its seal numbers begin.

        `catch_up` gives the trail its times so far; called before something is made of it.
        """
        self.case = case
        self.index = index
        self.staff = staff
        self.picture_width = picture_width
        self.case_id = key_of(case.name)
        begun = Case.objects.filter(pk=self.case_id).first()
        zero = begun.reported_at if begun else zero_hour(case, timezone.now())
        self.zero = zero.astimezone(settings.OFFICE_ZONE)
        self.today = day_of_loading(case, self.zero)
        self.moments = moments(case, self.zero, today=self.today)
        self.order = sorted(range(len(case.acts)), key=lambda n: (self.moments[n], n))
        self.seals = 1200 + SEALS_A_CASE * index
        self.photographs = 0
        self.painter = painter
        self.catch_up = catch_up
        self.ordered: list[Future[Painted]] = []
        self.painted: dict[str, Painted] = {}

    def request_key(self, n: int) -> UUID:
        """Return the key of the request that does an act."""
        return key_of(self.case.name, "request", str(n))

    def key(self, name: str) -> UUID:
        """Return the key of a record of this case by its name."""
        return key_of(self.case.name, name)

    def next_seal(self) -> str:
        """Return the next seal number of the case."""
        self.seals += 1
        return f"TC {self.seals:05d}"

    def next_picture(self, name: str = "") -> Painted:
        """Return the next painted photograph; the first one orders all, with the case's number.

        By its name later acts find again what was painted where.
        """
        if not self.ordered:
            number = Case.objects.get(pk=self.case_id).label
            acts = [self.case.acts[n] for n in self.order]
            taken = [act for act in acts if act.do == "add_photograph"]
            self.ordered = [
                self.painter.submit(paint, self._order(act, number, n))
                for n, act in enumerate(taken, start=1)
            ]
        self.photographs += 1
        self.painted[name] = self.ordered[self.photographs - 1].result()
        return self.painted[name]

    def _order(self, act: Act, number: str, n: int) -> Order:
        picture, options = act.more["picture"], dict(act.more["picture"].options)
        of_scene = picture.kind.startswith("scene_")
        if not of_scene:
            options.setdefault("tone", self.case.tone)
        taken_at = (self.zero + act.entry["taken_at"]).astimezone(settings.OFFICE_ZONE)
        return Order(
            kind=picture.kind,
            seed=100 * self.index + n,
            width=self.picture_width,
            label="" if of_scene else f"{number} · photograph {n}",
            scale=picture.scale,
            taken_at=taken_at.replace(tzinfo=None),
            options=options,
        )


@dataclass(frozen=True)
class Given:
    """What an act is given: the person, its words with times and people filled in, and a key."""

    actor: Staff
    act: Act
    key: UUID
    entry: dict[str, Any]
    common: dict[str, Any]

    @property
    def made(self) -> dict[str, Any]:
        """What an action takes that makes a record of the case."""
        return {"record_id": self.key, "entry": self.entry, **self.common}

    @property
    def said(self) -> dict[str, Any]:
        """What an action takes that makes a record of single words, not of an entry."""
        return {"record_id": self.key, **self.act.more, **self.common}


@contextmanager
def as_request(facts: RequestFacts) -> Iterator[None]:
    """Act as one request with these facts."""
    token = current_request.set(facts)
    try:
        yield
    finally:
        current_request.reset(token)


def own_work() -> RequestFacts:
    """Return the facts of what a worker would do after this act; the trail has them together."""
    of = current_request.get()
    return RequestFacts(source=SOURCE, request_id=of.request_id if of else "")


def day_of_loading(case: DemoCase, zero: datetime) -> date:
    """Return the day on which the load of a case began, also where it is taken up on a later one.

    Its days are counted from there, or an act would be told again as done on another day.
    """
    return (zero + timedelta(days=case.days_ago, minutes=case.minutes_ago)).date()


def zero_hour(case: DemoCase, now: datetime) -> datetime:
    """Return when the first call of a case came."""
    if case.minutes_ago:
        return (now - timedelta(minutes=case.minutes_ago)).replace(second=0, microsecond=0)
    day = now.astimezone(settings.OFFICE_ZONE).date() - timedelta(days=case.days_ago)
    return datetime.combine(day, time.fromisoformat(case.clock), settings.OFFICE_ZONE)
