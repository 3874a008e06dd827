"""What was decided to go out in answer to a request, and what was not."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from cases.court.models import Demand, RecordsRequest
from cases.decisions.models import Approval
from cases.decisions.queries import cases_asked_for, standing_of
from cases.decisions.ready import ReadyItem, items_as_decided, ready_items, why_not_ready
from me_office.accounts.models import Staff

__all__ = [
    "Chosen", "approval_of", "cases_asked_for", "chosen_items", "decided_now", "demands_of",
    "why_not_ready",
]  # fmt: skip

# One item as it goes out, or does not, with all demands that reach it.
Chosen = ReadyItem
chosen_items = ready_items


def approval_of(asked: RecordsRequest) -> tuple[str, datetime] | None:
    """Return the digest of the decisions as they were approved, and when; None where nobody did."""
    one = Approval.objects.active().filter(request=asked).first()
    return (one.digest, one.created_at) if one else None


def decided_now(asked: RecordsRequest, actor: Staff) -> tuple[list[str], str, Sequence[Chosen]]:
    """Return what a request lacks, the digest of what is decided, and the items, read once."""
    standing = standing_of(asked, actor)
    return standing.why_not_ready, standing.digest, items_as_decided(standing)


def demands_of(asked: RecordsRequest) -> list[Demand]:
    """Return what the request asks for, in its order."""
    return list(Demand.objects.active().filter(request=asked).order_by("number"))
