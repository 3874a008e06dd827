"""A request with demands that are decided item by item and approved, as an answer needs it."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from cases.answers.actions import request_answer
from cases.answers.models import Answer
from cases.court.models import Demand, RecordsRequest
from cases.decisions.models import Approval, Ground, ItemDecision
from cases.models import Case
from cases.review.models import Report
from me_office.accounts.models import Staff
from me_office.audit.actions import action, save_new
from me_office.audit.ids import new_id
from tests.packets.builders import make_request

# What becomes of an item: its kind, its key, its label, the outcome.
Item = tuple[str, str, str, str]


def items_of(case: Case, *, photographs: Sequence[str] = ("release", "release")) -> list[Item]:
    """The report, the custody record, the history and the photographs of a case."""
    report = Report.objects.get(case=case)
    pictures = case.photograph_set.active().order_by("number")
    return [
        ("report", str(report.pk), "Report of examination", "release"),
        ("custody record", str(case.pk), "Custody record", "release"),
        *(
            ("photograph", str(one.pk), f"P {one.number}", outcome)
            for one, outcome in zip(pictures, photographs, strict=True)
        ),
    ]


@action
def decide(
    actor: Staff, *, asked: RecordsRequest, items: Sequence[Item], reason: str = ""
) -> Approval:
    """Lay the rows of decisions and of their approval."""
    demand = Demand.objects.filter(request=asked).first() or save_new(
        actor,
        Demand(pk=new_id(), case=asked.case, request=asked, number=1, title="The file"),
        own_key=True,
    )
    ground = Ground.objects.first() or save_new(
        actor,
        Ground(pk=new_id(), number=3, words="Privacy of a living person", citation="Code 12-4"),
        own_key=True,
    )
    for kind, key, label, outcome in items:
        held = {"held_by": "State laboratory"} if outcome == "not ours" else {}
        save_new(
            actor,
            ItemDecision(
                pk=new_id(), case=asked.case, request=asked, demand=demand, kind=kind, item=key,
                label=label, outcome=outcome,
                ground=ground if outcome in {"withhold", "redact"} else None, **held,
            ),
            own_key=True,
        )  # fmt: skip
    return save_new(
        actor,
        Approval(pk=new_id(), case=asked.case, request=asked, digest="d" * 64, items=len(items)),
        own_key=True,
    )


def decided_request(case: Case, clerk: Staff, items: Sequence[Item] | None = None) -> RecordsRequest:
    """A logged request whose items are decided and approved."""
    asked = make_request(case, clerk)
    decide(clerk, asked=asked, items=items_of(case) if items is None else items)
    return asked


def asked_answer(asked: RecordsRequest, clerk: Staff, **entry: Any) -> Answer:
    """An answer that was asked for."""
    return request_answer(
        clerk, case_id=asked.case_id, request_id=asked.pk, record_id=new_id(), entry=entry
    )
