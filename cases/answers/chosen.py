"""What was decided to go out in answer to a request, and what was not."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from cases.court.models import Demand, RecordsRequest
from cases.decisions.models import Approval, ItemDecision
from cases.decisions.rules import ItemKind, Outcome
from cases.exhibits.models import Redaction

GOES_OUT = frozenset({Outcome.RELEASE, Outcome.REDACT})


@dataclass(frozen=True)
class Chosen:
    """One item as it goes out, or does not, with all demands that reach it."""

    kind: ItemKind
    case_id: UUID
    item: str
    number: str
    label: str
    outcome: Outcome
    demands: tuple[int, ...]
    digest: str
    copy_digest: str = ""
    ground: str = ""
    citation: str = ""
    held_by: str = ""

    @property
    def goes_out(self) -> bool:
        """Tell whether it is sent, as it is or as a redacted copy."""
        return self.outcome in GOES_OUT


def chosen_items(asked: RecordsRequest) -> Sequence[Chosen]:
    """Return every decided item of a request once."""
    rows = (
        ItemDecision.objects.active()
        .filter(request=asked)
        .select_related("ground", "demand")
        .order_by("demand__number", "created_at", "id")
    )
    copies = dict(
        Redaction.objects.active()
        .filter(photograph__in=[row.item for row in rows if row.kind == ItemKind.PHOTOGRAPH])
        .values_list("photograph_id", "file__sha256")
    )
    found: dict[tuple[str, str], Chosen] = {}
    for row in rows:
        before = found.get((row.kind, row.item))
        copy = copies.get(UUID(row.item), "") if row.kind == ItemKind.PHOTOGRAPH else ""
        found[row.kind, row.item] = Chosen(
            kind=ItemKind(row.kind),
            case_id=row.case_id,
            item=row.item,
            number="",
            label=row.label,
            outcome=Outcome(row.outcome),
            demands=(*(before.demands if before else ()), row.demand.number),
            digest=row.digest,
            copy_digest=copy if row.outcome == Outcome.REDACT else "",
            ground=row.ground.words if row.ground else "",
            citation=row.ground.citation if row.ground else "",
            held_by=row.held_by,
        )
    return list(found.values())


def why_not_ready(asked: RecordsRequest) -> list[str]:
    """Say, in sentences, what keeps the answer from being built; empty when nothing does."""
    if approval_of(asked) is None:
        return ["A second person has not approved what was decided."]
    return []


def approval_of(asked: RecordsRequest) -> tuple[str, datetime] | None:
    """Return the digest of the decisions as they were approved, and when; None where nobody did."""
    one = Approval.objects.active().filter(request=asked).first()
    return (one.digest, one.created_at) if one else None


def demands_of(asked: RecordsRequest) -> list[Demand]:
    """Return what the request asks for, in its order."""
    return list(Demand.objects.active().filter(request=asked).order_by("number"))
