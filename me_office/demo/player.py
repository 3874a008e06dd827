"""Plays the demonstration cases: every act is the office's own action, by the right person.

Each act is one request with a key of its own, as a page sends it. A load that was interrupted is
taken up again: an act that was done before is answered with its first answer. The key is in the
trail too, so that each act's events are found when they are moved to the story's times.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from concurrent.futures import Executor, Future
from datetime import date, datetime, time, timedelta
from typing import Any
from uuid import UUID

from django.conf import settings
from django.utils import timezone

from cases import actions as case_actions
from cases.certification import actions as certification
from cases.court import actions as court
from cases.models import Case
from cases.remains import actions as remains
from cases.remains import disposing
from cases.review import actions as review
from evidence import actions as evidence
from findings import actions as findings
from me_office.accounts.models import Staff
from me_office.audit.context import RequestFacts
from me_office.demo import photograph_acts, special_acts
from me_office.demo.office import key_of
from me_office.demo.painting import Order, Painted, paint
from me_office.demo.retiming import SOURCE
from me_office.demo.scenario import Act, DemoCase, InDays, Named, Who
from me_office.demo.special_acts import Given, as_request
from me_office.demo.times import moments

# Actions that take the case, a key and an entry, and make a record.
MAKES: dict[str, Callable[..., Any]] = {
    "record_identification": case_actions.record_identification,
    "record_reading": case_actions.record_reading,
    "record_place": case_actions.record_place,
    "record_medication": case_actions.record_medication,
    "record_person": case_actions.record_person,
    "open_examination": findings.open_examination,
    "weigh_organ": findings.weigh_organ,
    "take_specimen": evidence.take_specimen,
    "receive_specimen": evidence.receive_specimen,
    "record_property": evidence.record_property,
    "make_series": evidence.make_series,
    "log_request": court.log_request,
    "place_hold": remains.place_hold,
    "release_body": remains.release_body,
    "log_cremation_request": disposing.log_cremation_request,
    "record_disposition": disposing.record_disposition,
}
# The same for records of which a case has one; nothing stands yet.
MAKES_FIRST: dict[str, Callable[..., Any]] = {
    "record_scene": case_actions.record_scene,
    "receive_body": case_actions.receive_body,
    "state_cause_and_manner": certification.state_cause_and_manner,
    "write_report": review.write_report,
}
SEALED = frozenset({"take_specimen", "receive_specimen", "record_property", "record_kit"})
SEALS_A_CASE = 30


class Player:
    """Plays one case."""

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

    def play(self, n: int) -> None:
        """Do one act of the case, by its number."""
        act, key = self.case.acts[n], self.request_key(n)
        facts = RequestFacts(source=SOURCE, request_id=str(key), request_key=key, compares=False)
        with as_request(facts):
            self._do(act, self.key(act.name or f"{act.do} {n}"))

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

    def _do(self, act: Act, key: UUID) -> None:
        actor = self.staff[act.by]
        entry = {name: self._value(value) for name, value in act.entry.items()}
        common: dict[str, Any] = {"case_id": self.case_id, "reason": act.reason}
        if act.do in SEALED:
            entry = {"seal_number": self.next_seal(), **entry}
        if act.do in MAKES:
            MAKES[act.do](actor, record_id=key, entry=entry, **common)
        elif act.do in MAKES_FIRST:
            MAKES_FIRST[act.do](actor, record_id=key, version=0, entry=entry, **common)
        else:
            where = photograph_acts if hasattr(photograph_acts, act.do) else special_acts
            getattr(where, act.do)(self, Given(actor, act, key, entry, common))

    def _value(self, value: Any) -> Any:
        match value:
            case timedelta():
                return self.zero + value
            case InDays(days):
                return self.today + timedelta(days=days)
            case Who(username):
                return self.staff[username]
            case Named(name):
                return self.key(name)
            case list():
                return [self._value(each) for each in value]
            case _:
                return value


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
