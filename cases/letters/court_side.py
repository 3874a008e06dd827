"""What a request's page shows of its letters."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from cases.access import Act, may
from cases.court import side
from cases.court.models import Demand, RecordsRequest
from cases.court.side import Offer, Section, offer
from cases.letters import queries
from cases.letters.models import Letter
from me_office.accounts.models import Staff


@dataclass(frozen=True)
class LettersTold:
    """The letters of a request, and whether the person may write one."""

    letters: Sequence[Letter]
    may_write: bool


def letters_told(actor: Staff, asked: RecordsRequest, demands: Sequence[Demand]) -> LettersTold:
    """Return the letters of the request that count; two statements."""
    allowed = may(actor, Act.HANDLE_REQUEST, asked.case)
    return LettersTold(queries.letters_of_request(asked.pk), allowed)


def _without_letters(asked: RecordsRequest, part: LettersTold, handles: bool) -> list[Offer] | None:
    if part.letters:
        return None
    return [offer(asked, "Write a letter", "letters:choose")] if part.may_write else []


side.register(
    Section("letters", side.LETTERS, "letters/_side.html", letters_told, fold=_without_letters)
)
