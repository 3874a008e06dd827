"""What decisions add to a request's page."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from django.urls import reverse
from django.utils import timezone
from django.utils.text import Truncator

from cases import worklists
from cases.access import TABLE, Act, decision_on
from cases.court import closing, side
from cases.court.models import Demand, RecordsRequest, made_releases
from cases.court.side import KEPT_BACK, MIDDLE, DemandsTold, Offer, Section, offer
from cases.decisions import queries
from cases.decisions.models import LookAsked
from cases.decisions.queries import Standing
from cases.decisions.ready import items_as_decided
from cases.decisions.shown import GoesOut, goes_out, may_approve_now
from cases.worklists import Waiting
from me_office.accounts.models import Staff


@dataclass(frozen=True)
class RequestDecided:
    """How a request stands: for its page."""

    standing: Standing
    going: GoesOut
    may_decide: bool
    may_approve: bool


def decided_of(
    actor: Staff, asked: RecordsRequest, demands: Sequence[Demand]
) -> RequestDecided | None:
    """Read how a request stands; nothing of one that asks for no records."""
    if not any(one.kind == queries.ASKS_RECORDS for one in demands):
        return None
    standing = queries.standing_on_page(asked, actor)
    if not asked.is_open and not standing.decided:
        return None
    return RequestDecided(
        standing,
        goes_out(standing),
        may_decide=decision_on(actor, Act.DECIDE_RELEASE, asked.case).allowed,
        may_approve=may_approve_now(actor, standing),
    )


def told_of_demands(actor: Staff, asked: RecordsRequest, demands: Sequence[Demand]) -> DemandsTold:
    """Say how far each demand is decided, and how many are."""
    if not any(one.kind == queries.ASKS_RECORDS for one in demands):
        return DemandsTold()
    standing = queries.standing_on_page(asked, actor)
    states = {one.pk: standing.state_of(one) for one in standing.demands}
    records = [one for one in states.values() if one.asks_records]
    done = sum(one.is_decided for one in records)
    words = {key: one.words for key, one in states.items() if one.words}
    if not asked.is_open and not done:
        return DemandsTold({})
    head = f"{done} of {len(records)} demand{'' if len(records) == 1 else 's'} decided"
    return DemandsTold(words, head)


def _asked_row(look: LookAsked) -> Waiting:
    keys = {"case_id": look.case_id, "request_id": look.request_id, "record_id": look.pk}
    due = look.request.due_at(timezone.localdate())
    return Waiting(
        number=look.case.label,
        title=Truncator(look.words).words(16),
        detail=f"{look.created_by} asks before a release: {look.case.decedent.full_name}",
        when=due.words,
        url=reverse("decisions:answer", kwargs=keys),
        urgency=due.urgency,
    )


def _asked(actor: Staff, now: datetime) -> list[Waiting]:
    return [_asked_row(one) for one in queries.looks_waiting_for(actor, worklists.LIMIT)]


worklists.register(
    worklists.Section(
        "asked-to-look", "Questions before a release", TABLE[Act.APPROVE_RELEASE][0], 7, _asked
    )
)


def _without_stops(
    asked: RecordsRequest, part: RequestDecided, handles: bool
) -> list[Offer] | None:
    if part.standing.stops:
        return None
    if not (part.may_decide and asked.is_open):
        return []
    return [offer(asked, "Note what keeps it back", "decisions:note-stop")]


def _goes_out_still(asked: RecordsRequest) -> str:
    """Say why a request of which records go out is not closed without them."""
    sent = made_releases().filter(request=asked).exists()
    if not sent and any(one.goes_out for one in items_as_decided(queries.standing_of(asked))):
        return "Records were decided to go out. Build the answer and deliver it."
    return ""


closing.speaks_against(_goes_out_still)
side.tell_demands("decisions", 10, told_of_demands)
side.show_demands_at("decisions:demand")
side.register(
    Section("decisions", 20, "decisions/_middle.html", decided_of, column=MIDDLE),
    Section("stops", KEPT_BACK, "decisions/_side_stops.html", decided_of, fold=_without_stops),
)
