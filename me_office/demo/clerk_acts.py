"""Acts of the clerk: what demands reach, decisions, approval, answers, and how they go out.

Each function is named like the office's action that it calls.
"""

from __future__ import annotations

from typing import Any

from django.utils import timezone

from cases.answers import actions as answers
from cases.answers import delivering
from cases.answers.models import Answer
from cases.answers.tasks import make_requested
from cases.clock import actions as clock
from cases.court import fees
from cases.court.models import Demand, RecordsRequest
from cases.decisions import actions as deciding
from cases.decisions.models import Ground
from cases.decisions.queries import standing_of
from me_office.demo.play import Given, Play, as_request, own_work


def add_ground(play: Play, given: Given) -> None:
    """Add a ground to the office's list."""
    deciding.add_ground(given.actor, record_id=given.key, entry=given.entry)


def set_proposal_rule(play: Play, given: Given) -> None:
    """Name the ground that a rule proposes, by its number."""
    deciding.set_proposal_rule(
        given.actor, key=given.entry["key"], record_id=given.key, version=0,
        entry={"is_on": True, "ground": _ground(given.entry["ground"])},
    )  # fmt: skip


def replace_page_series(play: Play, given: Given) -> None:
    """Say how the office numbers the pages of its answers."""
    answers.replace_page_series(given.actor, record_id=given.key, entry=given.entry)


def _ground(number: int) -> Ground:
    found: Ground = Ground.objects.active().get(number=number)
    return found


def reach_records(play: Play, given: Given) -> None:
    """Choose records that a demand reaches."""
    demand = Demand.objects.get(pk=play.key(given.act.about))
    deciding.reach_records(
        given.actor, request_id=demand.request_id, demand_id=demand.pk, **given.made
    )


def decide_items(play: Play, given: Given) -> None:
    """Decide about the items of a demand that are called so; `ground` is a number."""
    demand = Demand.objects.get(pk=play.key(given.act.about))
    rows = {row.item.called: row.item for row in standing_of(demand.request).rows[demand.pk]}
    entry = dict(given.entry)
    picked = [
        deciding.Picked(item.kind.value, item.key, item.digest)
        for item in (rows[called] for called in entry.pop("called"))
    ]
    if "ground" in entry:
        entry["ground"] = _ground(entry["ground"])
    deciding.decide_items(
        given.actor, request_id=demand.request_id, demand_id=demand.pk, record_id=given.key,
        entry={**entry, "items": picked}, **given.common,
    )  # fmt: skip


def ask_to_look(play: Play, given: Given) -> None:
    """Ask somebody to look at what a demand reaches."""
    demand = Demand.objects.get(pk=play.key(given.act.about))
    deciding.ask_to_look(
        given.actor, request_id=demand.request_id, demand_id=demand.pk, **given.made
    )


def note_stop(play: Play, given: Given) -> None:
    """Note what keeps answers of the case back."""
    deciding.note_stop(given.actor, **given.made)


def approve_release(play: Play, given: Given) -> None:
    """Approve, as the second person, what was decided of a request."""
    asked = RecordsRequest.objects.get(pk=play.key(given.act.about))
    deciding.approve_release(
        given.actor, request_id=asked.pk, digest=standing_of(asked).digest, **given.made
    )


def request_answer(play: Play, given: Given) -> None:
    """Ask for the answer to a request and build it at once, without waiting for a worker."""
    answers.request_answer(given.actor, request_id=play.key(given.act.about), **given.made)
    with as_request(own_work()):
        # It prints what the trail tells of the custody: that has its time by then.
        make_requested(given.key, reached=lambda stage: play.catch_up())


def deliver_answer(play: Play, given: Given) -> None:
    """Hand an answer over."""
    answer = Answer.objects.select_related("request").get(pk=play.key(given.act.about))
    delivering.deliver_answer(
        given.actor,
        case_id=play.case_id,
        answer_id=answer.pk,
        record_id=given.key,
        version=answer.request.version,
        entry={**given.entry, "released_at": timezone.now()},
    )


def record_payment(play: Play, given: Given) -> None:
    """Note that an invoice was paid; it is named like the act that wrote it."""
    entry = dict(given.entry)
    invoice = play.key(entry.pop("invoice"))
    fees.record_payment(
        given.actor, request_id=play.key(given.act.about), record_id=invoice, version=1,
        entry=entry, **given.common,
    )  # fmt: skip


def note_clock_change(play: Play, given: Given) -> None:
    """Note what moved or stopped the clock of a request."""
    said: dict[str, Any] = {"request_id": play.key(given.act.about), "incoming": None}
    clock.note_clock_change(given.actor, **said, **given.made)
