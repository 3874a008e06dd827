"""Requests that wait for something, with what is recorded about them."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

from django.utils import timezone

from cases.court.models import (
    Demand,
    RecordsRequest,
)
from cases.decisions.models import Ground, ItemDecision
from cases.docket import actions, queries
from cases.docket.models import Handling, ProtectiveOrder
from me_office.audit.ids import new_id
from me_office.audit.records import save_new
from tests.builders import set_back

DAY = timedelta(days=1)


def today() -> Any:
    return timezone.localdate()


def due(asked: RecordsRequest, days: int, **more: Any) -> RecordsRequest:
    """The request, due so many days from today."""
    fields = {"served_on": today() - 40 * DAY, "due_on": today() + days * DAY, **more}
    set_back(RecordsRequest.objects.filter(pk=asked.pk), **fields)
    asked.refresh_from_db()
    return asked


def demand(asked: RecordsRequest, by: Any, number: int = 1, kind: str = "documents") -> Demand:
    made = Demand(case=asked.case, request=asked, number=number, kind=kind, title=f"Item {number}")
    return save_new(by, made, own_key=True)


def waits(actor: Any, asked: RecordsRequest) -> tuple[str, str]:
    rows, _ = queries.read_rows(actor, "", today())
    [row] = [one for one in rows if one.asked.pk == asked.pk]
    return row.waits.whom.value, row.waits.words


def given(by: Any, asked: RecordsRequest, person: Any, **more: Any) -> Handling:
    said = {"record_id": new_id(), "entry": {"person": person}, **more}
    return actions.give_request(by, case_id=asked.case_id, request_id=asked.pk, **said)


def order(by: Any, asked: RecordsRequest, **entry: Any) -> ProtectiveOrder:
    first = {"made_on": today() - 5 * DAY, "who_may_see": "Counsel of both sides"}
    said = {**first, "copies": "return", **entry}
    return actions.record_protective_order(
        by, case_id=asked.case_id, request_id=asked.pk, record_id=new_id(), entry=said
    )


def decide(by: Any, demanded: Demand, ground: Ground, outcome: str = "withhold") -> ItemDecision:
    one = ItemDecision(
        case=demanded.case, request=demanded.request, demand=demanded, kind="photograph",
        item=str(new_id()), label="photograph", number="P 37", outcome=outcome, ground=ground,
        together=new_id(),
    )  # fmt: skip
    return save_new(by, one, own_key=True)
