"""Plays the demonstration cases: every act is the office's own action, by the right person.

Each act is one request with a key of its own, as a page sends it. A load that was interrupted is
taken up again: an act that was done before is answered with its first answer. The key is in the
trail too, so that each act's events are found when they are moved to the story's times.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime, time, timedelta
from typing import Any
from uuid import UUID

from cases import actions as case_actions
from cases.certification import actions as certification
from cases.certification import filing
from cases.court import actions as court
from cases.remains import actions as remains
from cases.remains import disposing
from cases.review import actions as review
from evidence.photographs import actions as photograph_actions
from evidence.property import actions as property_actions
from evidence.specimens import actions as specimen_actions
from findings import actions
from findings.organs import actions as organ_actions
from findings.systems import slide_actions
from me_office.audit.context import RequestFacts
from me_office.demo import (
    clerk_acts,
    court_acts,
    photograph_acts,
    special_acts,
    statement_acts,
)
from me_office.demo.play import Given, Play, as_request
from me_office.demo.retiming import SOURCE
from me_office.demo.scenario import Act, InDays, Named, OnDay, Who

# Actions that take the case, a key and an entry, and make a record.
MAKES: dict[str, Callable[..., Any]] = {
    "record_identification": case_actions.record_identification,
    "record_reading": case_actions.record_reading,
    "record_place": case_actions.record_place,
    "record_medication": case_actions.record_medication,
    "record_person": case_actions.record_person,
    "open_examination": actions.open_examination,
    "weigh_organ": organ_actions.weigh_organ,
    "record_slide": slide_actions.record_slide,
    "take_specimen": specimen_actions.take_specimen,
    "receive_specimen": specimen_actions.receive_specimen,
    "record_property": property_actions.record_property,
    "make_series": photograph_actions.make_series,
    "log_request": court.log_request,
    "place_hold": remains.place_hold,
    "release_body": remains.release_body,
    "log_cremation_request": disposing.log_cremation_request,
    "record_disposition": disposing.record_disposition,
    "record_follow_up": filing.record_follow_up,
}
# The same for records of which a case has one; nothing stands yet.
MAKES_FIRST: dict[str, Callable[..., Any]] = {
    "record_scene": case_actions.record_scene,
    "receive_body": case_actions.receive_body,
    "state_cause_and_manner": certification.state_cause_and_manner,
    "write_report": review.write_report,
}
SEALED = frozenset({"take_specimen", "receive_specimen", "record_property", "record_kit"})


class Player(Play):
    """Plays one case."""

    def play(self, n: int) -> None:
        """Do one act of the case, by its number."""
        act, key = self.case.acts[n], self.request_key(n)
        facts = RequestFacts(source=SOURCE, request_id=str(key), request_key=key, compares=False)
        with as_request(facts):
            self._do(act, self.key(act.name or f"{act.do} {n}"))

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
            rooms = (photograph_acts, statement_acts, court_acts, clerk_acts, special_acts)
            where = next(room for room in rooms if hasattr(room, act.do))
            getattr(where, act.do)(self, Given(actor, act, key, entry, common))

    def _value(self, value: Any) -> Any:
        match value:
            case timedelta():
                return self.zero + value
            case OnDay(days, clock):
                day = self.today + timedelta(days=days)
                return datetime.combine(day, time.fromisoformat(clock), self.zero.tzinfo)
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
