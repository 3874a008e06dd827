"""When each act of a demonstration case was done: pure, in the office's own time.

An act that tells of a moment (a transfer, a reading, an examination's end) is entered soon after
it. One that tells of none follows what the same person did before, at the pace at which people
write; at a desk only while the office is staffed. `Act.at` says otherwise.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date, datetime, time, timedelta
from typing import Any

from me_office.demo.scenario import Act, DemoCase, Named, OnDay

# Minutes from the end of what an act tells of to its entry.
ENTERED_AFTER = {"log_report_of_death": 4, "record_scene": 12}
SOON = 2
# Minutes that an act takes which tells of no moment.
TAKES = {
    "record_finding": 5, "record_layer": 1, "record_interpretation": 1, "record_path": 4,
    "confirm_negative": 1, "decide_part": 1, "state_part_negative": 0.5, "use_template": 0.5,
    "record_slide": 4,
    "weigh_organ": 3, "assign_case": 9, "write_report": 40,
    "submit_report": 12, "comment_on_passage": 14, "return_report": 6, "answer_comment": 5,
    "write_report_again": 11, "state_cause_and_manner": 15, "add_exhibit": 4,
}  # fmt: skip
ELSE_TAKES = 3
# Written at a desk, by people who work by day.
AT_A_DESK = frozenset(
    {
        "assign_case", "restrict_case", "state_cause_and_manner", "write_report", "submit_report",
        "comment_on_passage", "return_report", "answer_comment", "write_report_again", "sign_off",
        "reply_to_comment", "record_opinion", "compare_opinion", "settle_disagreement",
        "add_addendum", "close_case", "record_disposition", "state_not_done",
    }
)  # fmt: skip
DESKS_OPEN, DESKS_CLOSE = time(7, 40), time(18, 0)


def moments(case: DemoCase, zero: datetime, *, today: date) -> list[datetime]:
    """Return when each act of a case was entered, in the order in which they are written.

    `zero` is the case's first call, with the office's zone. Acts are not sorted: what is written
    later may have been done earlier.
    """
    done: list[datetime] = []
    by_person: dict[str, datetime] = {}
    by_name: dict[str, datetime] = {}
    last_photograph = zero
    for n, act in enumerate(case.acts):
        told = told_moment(act, zero, today)
        if told is None:
            before = by_person.get(act.by) or (done[-1] if done else zero)
            told = before + timedelta(minutes=TAKES.get(act.do, ELSE_TAKES))
            if act.do in AT_A_DESK:
                told = while_open(told)
        # The case is there with its first act, a record before what speaks of it.
        there = done[:1] + [by_name[name] for name in speaks_of(act) if name in by_name]
        told = max([told, *(moment + timedelta(minutes=1) for moment in there)])
        if act.do == "add_photograph":
            # A card is read in its own order.
            told = last_photograph = max(told, last_photograph + timedelta(minutes=1))
        by_person[act.by] = told
        if act.name:
            by_name[act.name] = told
        done.append(told.replace(second=5 + 17 * n % 50, microsecond=0))
    return done


def told_moment(act: Act, zero: datetime, today: date) -> datetime | None:
    """Return when an act was entered by what it says itself, or None where it says nothing."""
    if isinstance(act.at, OnDay):
        day = today + timedelta(days=act.at.days)
        return datetime.combine(day, time.fromisoformat(act.at.clock), zero.tzinfo)
    if act.at is not None:
        return zero + act.at
    if act.do == "open_examination":
        began: timedelta = act.entry["began_at"]
        return zero + began + timedelta(minutes=SOON)
    told = [value for value in act.entry.values() if isinstance(value, timedelta)]
    if not told:
        return None
    return zero + max(told) + timedelta(minutes=ENTERED_AFTER.get(act.do, SOON))


def while_open(moment: datetime) -> datetime:
    """Return the moment itself, or the next morning where nobody is at the desks."""
    if moment.time() < DESKS_OPEN:
        return datetime.combine(moment.date(), DESKS_OPEN, moment.tzinfo)
    if moment.time() > DESKS_CLOSE:
        return datetime.combine(moment.date() + timedelta(days=1), DESKS_OPEN, moment.tzinfo)
    return moment


def speaks_of(act: Act) -> Iterator[str]:
    """Yield the names of the records that an act speaks of: they are there before it."""
    if act.about:
        yield act.about
    yield from _names_in(list(act.entry.values()))
    for key in ("finding", "photograph"):
        if key in act.more:
            yield act.more[key]
    for key in ("items", "on"):
        yield from act.more.get(key, ())


def _names_in(values: Sequence[Any]) -> Iterator[str]:
    for value in values:
        if isinstance(value, Named):
            yield value.name
        elif isinstance(value, list):
            yield from _names_in(value)
