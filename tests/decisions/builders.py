"""A case with photographs, a request with demands, and decisions."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import timedelta
from typing import Any

from django.utils import timezone

from cases.court.actions import log_request
from cases.court.models import Demand, RecordsRequest
from cases.decisions import actions, queries
from cases.decisions.actions import Picked
from cases.decisions.models import Approval, Ground, ItemDecision, Reach
from cases.models import Case
from evidence.photographs.models import Photograph
from me_office.accounts.models import Staff
from me_office.accounts.roles import Role
from me_office.audit.ids import new_id
from tests.builders import make_case, make_staff
from tests.evidence.pictures import add, picture_bytes

SHOWS = ("Road and vehicles", "The other driver, injured, in the ambulance", "")


def request_for(case: Case, by: Staff, **fields: Any) -> RecordsRequest:
    """A subpoena that was logged."""
    today = timezone.localdate()
    entry = {
        "kind": "subpoena", "court": "Tarn County Superior Court", "cause_number": "CR-26-01177",
        "party": "Office of the county attorney", "served_on": today - timedelta(days=3),
        "due_on": today + timedelta(days=11), "asks_for": "Report and photographs.", **fields,
    }  # fmt: skip
    return log_request(by, case_id=case.pk, record_id=new_id(), entry=entry)


def demand_in(asked: RecordsRequest, by: Staff, number: int = 1, **fields: Any) -> Demand:
    """A demand for records, written past the actions."""
    said = {"kind": "documents", "title": "All photographs", **fields}
    return Demand.objects.create(
        case_id=asked.case_id, request=asked, number=number, created_by=by, changed_by=by, **said
    )


def ground_numbered(number: int, by: Staff, words: str = "Health record of a person") -> Ground:
    """A ground of the office's list."""
    entry = {"number": number, "words": words, "citation": f"County Code 27, section {number}"}
    return actions.add_ground(by, record_id=new_id(), entry=entry)


def reaching(demand: Demand, by: Staff, kind: str, **fields: Any) -> Reach:
    """The demand reaches records of a kind."""
    return actions.reach_records(
        by, case_id=demand.case_id, request_id=demand.request_id, demand_id=demand.pk,
        record_id=new_id(), entry={"kind": kind, **fields},
    )  # fmt: skip


def photographed(by: Staff, shows: Sequence[str] = SHOWS, **fields: Any) -> Case:
    """An open case with a photograph for each description."""
    case = make_case(by=by, **fields)
    for shade, words in enumerate(shows):
        add(by, case, picture_bytes(shade), shows=words, region="")
    return case


def many_photographs(case: Case, more: int) -> None:
    """Further photographs, copied past the actions from the first: for counting statements."""
    first = case.photograph_set.select_related("item", "file").order_by("number").first()
    last = case.photograph_set.order_by("-number").first().number
    for number in range(last + 1, last + 1 + more):
        item, file = first.item, first.file
        item.pk, item.number, item._state.adding = new_id(), 1000 + number, True
        item.save()
        file.pk, file.sha256, file.path = new_id(), f"{number:064x}", f"past/{number}"
        file._state.adding = True
        file.save()
        one = Photograph.objects.get(pk=case.photograph_set.order_by("number").first().pk)
        one.pk, one.item, one.file, one.number = new_id(), item, file, number
        one._state.adding = True
        one.save()


def picked(demand: Demand, *numbers: str) -> list[Picked]:
    """Items of a demand as a page shows them now; all where no number is named."""
    rows = queries.standing_of(demand.request).rows[demand.pk]
    return [
        Picked(row.item.kind.value, row.item.key, row.item.digest,
               str(row.decision.pk) if row.decision else "")
        for row in rows
        if not numbers or row.item.number in numbers
    ]  # fmt: skip


def decide(
    demand: Demand, by: Staff, outcome: str, *numbers: str, reason: str = "", **entry: Any
) -> ItemDecision:
    """Decide items of a demand as a page would send them."""
    items = entry.pop("items", None) or picked(demand, *numbers)
    return actions.decide_items(
        by, case_id=demand.case_id, request_id=demand.request_id, demand_id=demand.pk,
        record_id=entry.pop("record_id", None) or new_id(),
        entry={"items": items, "outcome": outcome, **entry}, reason=reason,
    )  # fmt: skip


def approve(asked: RecordsRequest, by: Staff, **fields: Any) -> Approval:
    """Approve what was decided, as it is read now."""
    return actions.approve_release(
        by, case_id=asked.case_id, request_id=asked.pk, record_id=fields.get("record_id", new_id()),
        digest=fields.get("digest") or queries.standing_of(asked).digest, entry={},
    )  # fmt: skip


def second_person() -> Staff:
    """Who approves."""
    return make_staff(Role.SUPERVISOR, name="M. Thorne")
