"""The sections that this room itself shows on a request's page."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from cases.court import queries, side
from cases.court.models import (
    Authority,
    Counsel,
    Demand,
    Invoice,
    Original,
    RecordsRequest,
    RequestCase,
)
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
    Offer,
    Section,
    offer,
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
    line = time_line(actor, asked, most=ACTS_BESIDE)
    return replace(line, acts=line.acts[:ACTS_BESIDE])


@dataclass(frozen=True)
class AuthorityShown:
    """The right of who asks, and whether the office asks for it."""

    record: Authority | None
    need: queries.Need


def authority(actor: Staff, asked: RecordsRequest, demands: Sequence[Demand]) -> object:
    """Read by what right somebody asks."""
    return AuthorityShown(*queries.authority_on_page(asked))


def _without_counsel(
    asked: RecordsRequest, part: Sequence[Counsel], handles: bool
) -> list[Offer] | None:
    if part:
        return None
    return [offer(asked, "Add counsel", "court:add-counsel")] if handles else []


def _without_cases(
    asked: RecordsRequest, part: Sequence[RequestCase], handles: bool
) -> list[Offer] | None:
    if part:
        return None
    return [offer(asked, "Add a case", "court:add-case")] if handles else []


def _without_original(
    asked: RecordsRequest, part: Sequence[Original], handles: bool
) -> list[Offer] | None:
    if any(not one.is_voided for one in part):
        return None
    return [offer(asked, "Attach the original", "court:attach-original")] if handles else []


def _without_invoice(
    asked: RecordsRequest, part: Sequence[Invoice], handles: bool
) -> list[Offer] | None:
    if part:
        return None
    return [offer(asked, "Write an invoice", "court:issue-invoice")] if handles else []


def _without_authority(
    asked: RecordsRequest, part: AuthorityShown, handles: bool
) -> list[Offer] | None:
    if part.record is not None or part.need.needed:
        return None
    return [offer(asked, "Record who asks", "court:add-authority")] if handles else []


side.register(
    Section("due", DUE, "court/_side_due.html", of_the_request),
    Section("happened", HAPPENED, "court/_side_happened.html", happened),
    Section("original", ORIGINAL, "court/_side_original.html", originals, fold=_without_original),
    Section(
        "authority", AUTHORITY, "court/_side_authority.html", authority, fold=_without_authority
    ),
    Section("fee", FEE, "court/_side_fee.html", invoices, fold=_without_invoice),
    Section("counsel", COUNSEL, "court/_side_counsel.html", counsel, fold=_without_counsel),
    Section("cases", CASES, "court/_side_cases.html", further_cases, fold=_without_cases),
    Section("caution", CAUTION, "court/_side_caution.html", of_the_request),
    Section("facts", 10, "court/_middle_facts.html", of_the_request, column=MIDDLE),
    Section("demands", 90, "court/_middle_demands.html", of_the_request, column=MIDDLE),
)
