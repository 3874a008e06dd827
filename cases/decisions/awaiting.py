"""Requests whose decisions wait for a second person, for the first page of who may be that one."""

from __future__ import annotations

from datetime import datetime

from django.db.models import Exists, OuterRef
from django.urls import reverse
from django.utils import timezone

from cases import worklists
from cases.access import TABLE, Act, cases_open_to
from cases.court.models import Demand, RecordsRequest, Release
from cases.court.rules import RequestState
from cases.decisions.models import Approval, ItemDecision, LookAsked, Reach, StopSettled
from cases.decisions.queries import ASKS_RECORDS
from cases.decisions.tally import NOTHING, Tally, tallies
from cases.worklists import Waiting
from me_office.accounts.models import Staff


def requests_awaiting(actor: Staff, most: int) -> list[RecordsRequest]:
    """Return requests that a person may be asked to approve, the soonest due first; one statement.

    Every demand for records is begun, nobody approved them, no part left the office, no question is
    open, and the person decided none of it. Single items may be left.
    """
    of_it = {"request": OuterRef("pk")}
    records = Demand.objects.active().filter(kind=ASKS_RECORDS, **of_it)
    begun = ItemDecision.objects.active().filter(demand=OuterRef("pk"))
    by_them = [
        Exists(model.objects.active().filter(created_by=actor, **of_it))
        for model in (ItemDecision, Reach, StopSettled)
    ]
    rows = RecordsRequest.objects.filter(
        *(~one for one in by_them),
        Exists(records),
        ~Exists(records.filter(~Exists(begun))),
        ~Exists(Approval.objects.active().filter(**of_it)),
        ~Exists(Release.objects.active().filter(**of_it)),
        ~Exists(LookAsked.objects.active().filter(answered_at=None, **of_it)),
        state=RequestState.OPEN.value,
        case__in=cases_open_to(actor),
    )
    return list(rows.select_related("case__decedent").order_by("due_on", "id")[:most])


def _row(asked: RecordsRequest, tally: Tally, now: datetime) -> Waiting:
    many = f"{tally.items} item{'' if tally.items == 1 else 's'} decided"
    due = asked.due_at(timezone.localtime(now).date())
    return Waiting(
        number=asked.case.label,
        title=asked.named,
        detail=f"{asked.case.decedent.full_name}; {many}, to be read and approved",
        when=due.words,
        url=reverse("decisions:approve", args=[asked.case_id, asked.pk]),
        urgency=due.urgency,
    )


def _rows(actor: Staff, now: datetime) -> list[Waiting]:
    found = requests_awaiting(actor, worklists.LIMIT)
    counted = tallies([one.pk for one in found])
    # What is not decided to the last item waits for the clerk.
    return [
        _row(one, tally, now)
        for one in found
        if (tally := counted.get(one.pk, NOTHING)).items and not tally.undecided
    ]


worklists.register(
    worklists.Section(
        "to-approve", "What goes out, to approve", TABLE[Act.APPROVE_RELEASE][0], 8, _rows
    )
)
