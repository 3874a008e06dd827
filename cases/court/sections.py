"""The sections that this room itself shows on a request's page."""

from __future__ import annotations

from collections.abc import Sequence

from cases.court import queries, side
from cases.court.models import Demand, RecordsRequest
from cases.court.side import CASES, CAUTION, COUNSEL, DUE, HAPPENED, MIDDLE, Section
from me_office.accounts.models import Staff


def of_the_request(
    actor: Staff, asked: RecordsRequest, demands: Sequence[Demand]
) -> RecordsRequest:
    """Read nothing more: the page has what the section tells."""
    return asked


def counsel(actor: Staff, asked: RecordsRequest, demands: Sequence[Demand]) -> object:
    """Read who appears in the matter."""
    return queries.counsel_of(asked)


def further_cases(actor: Staff, asked: RecordsRequest, demands: Sequence[Demand]) -> object:
    """Read the further cases that the person may know of."""
    return queries.further_cases_of(actor, asked)


side.register(
    Section("due", DUE, "court/_side_due.html", of_the_request),
    Section("happened", HAPPENED, "court/_side_happened.html", of_the_request),
    Section("counsel", COUNSEL, "court/_side_counsel.html", counsel),
    Section("cases", CASES, "court/_side_cases.html", further_cases),
    Section("caution", CAUTION, "court/_side_caution.html", of_the_request),
    Section("facts", 10, "court/_middle_facts.html", of_the_request, column=MIDDLE),
)
