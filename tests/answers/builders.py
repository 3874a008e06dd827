"""Answers that are being built, and those that are."""

from __future__ import annotations

from typing import Any

from django.utils import timezone

from cases.answers.models import Answer
from cases.court.models import RecordsRequest
from cases.models import Case
from me_office.accounts.models import Staff
from me_office.accounts.roles import Role
from me_office.audit.actions import action
from me_office.audit.ids import new_id
from me_office.audit.records import save_new
from tests.answers.decided import asked_answer, decided_request
from tests.builders import make_case, make_staff
from tests.evidence.items import take
from tests.evidence.pictures import add, picture_bytes
from tests.packets.builders import make_request


@action
def lay_answer(
    actor: Staff, *, asked: RecordsRequest, number: int = 1, reason: str = "", **fields: Any
) -> Answer:
    """An answer as it stands in the table while a worker is at its first attempt."""
    said = {"state": "making", "attempts": 1, "decided": "d" * 64, **fields}
    return save_new(
        actor,
        Answer(
            pk=new_id(),
            case=asked.case,
            request=asked,
            number=number,
            decided_at=timezone.now(),
            **said,
        ),
        own_key=True,
    )


def answer_being_built(case: Case, clerk: Staff, **fields: Any) -> Answer:
    """The same for a request of its own."""
    return lay_answer(clerk, asked=make_request(case, clerk), **fields)


def asked_of_open_case(clerk: Staff, *, photographs: int = 0) -> Answer:
    """An answer that was asked for: custody and photographs of an open case, which cost little."""
    vasko = make_staff(Role.PATHOLOGIST)
    case = make_case(by=vasko)
    take(vasko, case)
    for shade in range(photographs):
        add(vasko, case, picture_bytes(shade))
    kinds = ("custody record", *(("photograph",) if photographs else ()))
    return asked_answer(decided_request(case, clerk, kinds=kinds), clerk)
