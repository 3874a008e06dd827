"""What was decided, for the room that builds the answer: what goes out, and what is kept back."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any
from uuid import UUID

from cases.court.models import RecordsRequest
from cases.decisions.queries import Row, Standing, standing_of
from cases.decisions.rules import (
    GOES_OUT,
    ON_A_GROUND,
    ItemKind,
    LogRow,
    Outcome,
    log_words,
)
from me_office.accounts.models import Staff


@dataclass(frozen=True)
class ReadyItem:
    """One item as it goes out, or does not: what was decided, and for which demands.

    `kind` and `item` name the record (`item` is its key; of what belongs to a whole case, the
    case's key). `digest` is that of the record as it was decided, `copy_digest` of the redacted
    copy that goes out in its place (SHA-256 of its file), where one does.
    """

    kind: ItemKind
    case_id: UUID
    item: str
    number: str
    label: str
    outcome: Outcome
    demands: tuple[int, ...]
    digest: str
    copy_digest: str = ""
    pages: int = 0
    files: int = 0
    size_bytes: int = 0
    place: int = 0
    ground: str = ""
    citation: str = ""
    held_by: str = ""
    note: str = ""

    @property
    def goes_out(self) -> bool:
        """Tell whether it is sent, as it is or as a redacted copy."""
        return self.outcome in GOES_OUT


def why_not_ready(asked: RecordsRequest, actor: Staff | None = None) -> list[str]:
    """Say, in sentences, what keeps the answer to a request from being built; empty when nothing.

    Nothing undecided or changed since, every redacted copy there, every stop decided, every
    question answered, and approved by a second person exactly as it stands. Ask inside the
    transaction that holds the request's case (`case_to_change`): decisions lock it as well.
    With an actor nothing is told of a case that they may not know of but that there is one.
    """
    return standing_of(asked, actor).why_not_ready


def ready_items(asked: RecordsRequest, actor: Staff | None = None) -> tuple[ReadyItem, ...]:
    """Return every decided item of a request once, what goes out and what does not, in order.

    It does not ask whether the answer is ready: ask `why_not_ready` first. An item that several
    demands reach stands once, with all their numbers. With an actor, of the cases that they may
    know of.
    """
    return items_as_decided(standing_of(asked, actor))


def items_as_decided(standing: Standing) -> tuple[ReadyItem, ...]:
    """Return the same of what was read already."""
    by_name: dict[tuple[str, str], list[Row]] = defaultdict(list)
    for row in standing.all_rows:
        if row.is_decided:
            by_name[row.item.name].append(row)
    return tuple(_ready(rows) for rows in by_name.values())


def _ready(rows: Sequence[Row]) -> ReadyItem:
    # What one demand sends and another notes as sent before goes out.
    first = next((row for row in rows if _outcome(row) is not Outcome.SENT), rows[0])
    decision: Any = first.decision
    outcome, item = _outcome(first), first.item
    return ReadyItem(
        kind=item.kind,
        case_id=item.case_id,
        item=item.key,
        number=item.number,
        label=item.label,
        outcome=outcome,
        demands=tuple(sorted(row.demand for row in rows)),
        digest=item.digest,
        copy_digest=item.copy_digest if outcome is Outcome.REDACT else "",
        pages=item.pages,
        files=item.files,
        size_bytes=item.size_bytes,
        place=item.place,
        ground=str(decision.ground) if decision.ground else "",
        citation=decision.ground.citation if decision.ground else "",
        held_by=decision.held_by,
        note=decision.note,
    )


def _outcome(row: Row) -> Outcome:
    return Outcome(row.decision.outcome if row.decision else "")


def withholding_log(asked: RecordsRequest) -> list[LogRow]:
    """Return what is kept back, in part or whole, each with its ground; it discloses nothing."""
    return log_of(standing_of(asked))


def log_of(standing: Standing) -> list[LogRow]:
    """Return the same of what was read already, by demand and item."""
    rows = []
    for row in standing.all_rows:
        if not row.is_decided or _outcome(row) not in ON_A_GROUND:
            continue
        decision: Any = row.decision
        number, what = log_words(row.item.kind.value, row.item.number)
        treatment = "withheld" if _outcome(row) is Outcome.WITHHOLD else "sent in part, redacted"
        rows.append(
            LogRow(
                row.demand, number, what, treatment,
                decision.ground.words, decision.ground.citation,
            )
        )  # fmt: skip
    return rows


def log_lines(standing: Standing) -> list[list[str]]:
    """Return the log of what is kept back as rows of a file."""
    head = ["Demand", "Item", "What it is", "Treatment", "Ground", "Law or order"]
    return [
        head,
        *(
            [str(one.demand), one.item, one.what, one.treatment, one.ground, one.citation]
            for one in log_of(standing)
        ),
    ]
