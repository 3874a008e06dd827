"""A request with demands that are decided item by item and approved, as an answer needs it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from cases.answers.actions import request_answer
from cases.answers.models import Answer
from cases.court.models import RecordsRequest
from cases.decisions import queries
from cases.decisions.actions import Picked
from cases.decisions.models import Ground
from cases.models import Case
from me_office.accounts.models import Staff
from me_office.audit.ids import new_id
from tests.decisions.builders import (
    approve,
    decide,
    demand_in,
    ground_numbered,
    reaching,
    request_for,
    second_person,
)

KINDS = ("report", "custody record", "photograph")


def decided_request(
    case: Case,
    clerk: Staff,
    *,
    kinds: tuple[str, ...] = KINDS,
    outcomes: Mapping[str, str] | None = None,
) -> RecordsRequest:
    """A logged request whose items are decided and approved; all go out but for `outcomes`.

    `outcomes` name items by their number (P 1), or by their kind where they have none.
    """
    asked = request_for(case, clerk)
    demand = demand_in(asked, clerk, title="The file and all photographs")
    for kind in kinds:
        reaching(demand, clerk, kind)
    ground = Ground.objects.active().filter(number=3).first() or ground_numbered(
        3, clerk, words="Privacy of a living person"
    )
    wanted: dict[str, list[Picked]] = {}
    for row in queries.standing_of(asked).rows[demand.pk]:
        item = row.item
        named = item.number if item.number in (outcomes or {}) else item.kind.value
        outcome = (outcomes or {}).get(named, "release")
        wanted.setdefault(outcome, []).append(Picked(item.kind.value, item.key, item.digest, ""))
    for outcome, items in wanted.items():
        kept = {"ground": ground.pk} if outcome in {"withhold", "redact"} else {}
        decide(demand, clerk, outcome, items=items, **kept)
    approve(asked, second_person())
    return asked


def asked_answer(asked: RecordsRequest, clerk: Staff, **entry: Any) -> Answer:
    """An answer that was asked for."""
    return request_answer(
        clerk, case_id=asked.case_id, request_id=asked.pk, record_id=new_id(), entry=entry
    )
