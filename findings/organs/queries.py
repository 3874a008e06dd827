"""Reads of organ weights."""

from __future__ import annotations

from cases.models import Case
from findings.organs.models import OrganWeight


def organ_weights_of(case: Case) -> list[OrganWeight]:
    """The active organ weights of a case, in the order in which organs are listed."""
    order = {organ: place for place, (organ, _) in enumerate(OrganWeight.ORGANS)}
    rows: list[OrganWeight] = list(
        OrganWeight.objects.active().filter(case=case).order_by("created_at", "pk")
    )
    return sorted(rows, key=lambda row: order[row.organ])
