"""What answers add to the page of a request, and to the worklists."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from cases.access import Act, may
from cases.answers import (
    certificate,  # noqa: F401
    queries,
    saying,  # noqa: F401
)
from cases.answers.models import Answer
from cases.court import side
from cases.court.models import Demand, RecordsRequest
from cases.court.rules import RequestState
from cases.decisions.items import register_sent
from me_office.accounts.models import Staff


@dataclass(frozen=True)
class AnswersShown:
    """The answers to a request, and whether another may be asked for."""

    asked: RecordsRequest
    answers: Sequence[Answer]
    may_build: bool


def _answers(actor: Staff, asked: RecordsRequest, demands: Sequence[Demand]) -> AnswersShown | None:
    found = queries.answers_to(asked.pk)
    may_build = asked.state == RequestState.OPEN and may(actor, Act.BUILD_ANSWER, asked.case)
    return AnswersShown(asked, found, may_build) if found or may_build else None


register_sent("answers", queries.sent_in_answers)
side.register(side.Section("answers", side.FEE - 5, "answers/_side_answers.html", _answers))
