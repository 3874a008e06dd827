"""How the day was counted, on a request's page, in place of the bare day."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from cases.clock import queries
from cases.clock.models import ClockChange, DueCount
from cases.counting.queries import CHECK_WITH_COUNSEL
from cases.court import side
from cases.court.models import Demand, RecordsRequest
from cases.court.side import DUE, DemandsTold, Section
from me_office.accounts.models import Staff


@dataclass(frozen=True)
class DueShown:
    """A request's due day: the count that holds, what changed the clock, what would move it now."""

    kept: DueCount | None
    steps: list[dict[str, Any]]
    follows: bool  # whether the count is still what the request follows
    changes: list[ClockChange]
    newest: ClockChange | None
    end_now: date | None
    counsel: str


def due_shown(actor: Staff, asked: RecordsRequest, demands: Sequence[Demand]) -> DueShown:
    """Read the count, the changes and, of an open request, the closures near; three statements."""
    kept = queries.count_of(asked)
    changes = queries.changes_of(asked)
    standing = [one for one in changes if not one.is_voided]
    follows = kept is not None and kept.basis == asked.due_basis and kept.end_on == asked.due_on
    end = None
    if kept is not None and follows and asked.is_open and not asked.stopped_since:
        again = queries.end_now(kept, queries.closures_near([kept]))
        end = again if again != kept.end_on else None
    steps = [
        {**step, "when": date.fromisoformat(step["day"]) if step["day"] else None}
        for step in (kept.steps if kept else [])
    ]
    newest = max(standing, key=lambda one: (one.created_at, one.pk), default=None)
    return DueShown(kept, steps, follows, changes, newest, end, CHECK_WITH_COUNSEL.text)


def _head(actor: Staff, asked: RecordsRequest, demands: Sequence[Demand]) -> DemandsTold:
    if asked.stopped_since is None or not asked.is_open:
        return DemandsTold()
    since = asked.stopped_since
    return DemandsTold(head=f"clock stopped since {since.day} {since:%b}")


side.register(Section("due", DUE, "clock/_side_due.html", due_shown))
side.tell_demands("clock", 5, _head)
