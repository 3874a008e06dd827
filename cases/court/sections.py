"""The sections that this room itself shows on a request's page."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from cases.court import queries, side
from cases.court.models import Authority, Demand, RecordsRequest
from cases.court.side import (
    AUTHORITY,
    CASES,
    CAUTION,
    COUNSEL,
    DUE,
    FEE,
    HAPPENED,
    MIDDLE,
    ORIGINAL,
    Section,
)
from cases.court.timeline import ACTS_BESIDE, time_line
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


def originals(actor: Staff, asked: RecordsRequest, demands: Sequence[Demand]) -> object:
    """Read the papers of the request, the one that stands first."""
    return queries.originals_of(asked)


def invoices(actor: Staff, asked: RecordsRequest, demands: Sequence[Demand]) -> object:
    """Read what was charged for the answer."""
    return queries.invoices_of(asked)


def happened(actor: Staff, asked: RecordsRequest, demands: Sequence[Demand]) -> object:
    """Read the newest of what happened to the request."""
    return time_line(actor, asked, most=ACTS_BESIDE)


@dataclass(frozen=True)
class AuthorityShown:
    """The right of who asks, and whether the office asks for it."""

    record: Authority | None
    need: queries.Need


def authority(actor: Staff, asked: RecordsRequest, demands: Sequence[Demand]) -> object:
    """Read by what right somebody asks."""
    return AuthorityShown(queries.authority_of(asked), queries.authority_need(asked))


side.register(
    Section("due", DUE, "court/_side_due.html", of_the_request),
    Section("happened", HAPPENED, "court/_side_happened.html", happened),
    Section("original", ORIGINAL, "court/_side_original.html", originals),
    Section("authority", AUTHORITY, "court/_side_authority.html", authority),
    Section("fee", FEE, "court/_side_fee.html", invoices),
    Section("counsel", COUNSEL, "court/_side_counsel.html", counsel),
    Section("cases", CASES, "court/_side_cases.html", further_cases),
    Section("caution", CAUTION, "court/_side_caution.html", of_the_request),
    Section("facts", 10, "court/_middle_facts.html", of_the_request, column=MIDDLE),
)
