"""What was decided to go out in answer to a request, and what was not."""

from __future__ import annotations

from datetime import datetime

from cases.court.models import Demand, RecordsRequest
from cases.decisions.models import Approval
from cases.decisions.queries import ReadyItem, ready_items, why_not_ready

__all__ = ["Chosen", "approval_of", "chosen_items", "demands_of", "why_not_ready"]

# One item as it goes out, or does not, with all demands that reach it.
Chosen = ReadyItem
chosen_items = ready_items


def approval_of(asked: RecordsRequest) -> tuple[str, datetime] | None:
    """Return the digest of the decisions as they were approved, and when; None where nobody did."""
    one = Approval.objects.active().filter(request=asked).first()
    return (one.digest, one.created_at) if one else None


def demands_of(asked: RecordsRequest) -> list[Demand]:
    """Return what the request asks for, in its order."""
    return list(Demand.objects.active().filter(request=asked).order_by("number"))
