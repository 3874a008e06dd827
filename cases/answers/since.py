"""How a built answer differs from what stands now: read once, compared by pure rules.

An answer's address opens nothing while something firm differs (`comparing.Differs`): what may not
go out now is not fetched either. When that is settled it opens again, unless it was called back.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

from cases.answers.comparing import (
    Differs,
    Stands,
    Whole,
    differences,
    held_in,
    why_not_delivered,
)
from cases.answers.models import Answer
from cases.court.models import RecordsRequest
from cases.court.rules import RequestState
from cases.decisions.queries import Row, Standing, standing_of
from cases.decisions.rules import ItemKind, Outcome
from cases.review.models import Addendum
from me_office.accounts.models import Staff
from me_office.audit.errors import Refused

# What a room above knows of a request that matters for its answers: orders of a court.
Reader = Callable[[RecordsRequest, Sequence[Answer]], dict[Answer, list[Differs]]]
_READERS: dict[str, Reader] = {}


def register(key: str, reader: Reader) -> None:
    """Add a reader of what else differs; the same key again replaces it."""
    _READERS[key] = reader


def differs_now(answer: Answer, actor: Staff | None = None) -> list[Differs]:
    """Return what stands otherwise now than in a built answer, in a fixed number of statements.

    With an actor nothing is told of a case that they may not know of.
    """
    return differs_of([answer], standing_of(answer.request, actor))[answer]


def keeps_closed(answer: Answer) -> bool:
    """Tell whether an address opens nothing now, because of what its packet holds."""
    return any(one.firm for one in differs_now(answer))


def require_may_leave(answer: Answer, actor: Staff) -> None:
    """Refuse a built answer that leaves in no way as things stand. Raises Refused.

    For a person who may know of every case that it sends.
    """
    standing = standing_of(answer.request, actor)
    found = differs_of([answer], standing, knows_all=True)[answer]
    firm = [one for one in found if one.firm]
    if firm:
        raise Refused(why_not_delivered(firm, although="", may_although=False))


def differs_of(
    answers: Sequence[Answer], standing: Standing, *, knows_all: bool = False
) -> dict[Answer, list[Differs]]:
    """Return the same for several answers to one request, of what was read already.

    `knows_all`: the person may know of every case that is sent. One that is lacking is then no
    longer asked for, whichever others are closed to them.
    """
    asked = standing.asked
    now = _now(standing)
    approved = standing.approval.digest if standing.approval else ""
    stops = [(one.case_id, one.words) for one in standing.stops
             if not one.settled and one.case_id]  # fmt: skip
    found = {
        one: differences(
            held_in(one.sent_items),
            now,
            Whole(
                decided=one.decided,
                approved=approved,
                is_withdrawn=asked.state == RequestState.WITHDRAWN,
                stops=stops,
                cases={case.pk for case in standing.cases},
                closed=0 if knows_all else standing.closed_cases,
            ),
        )
        for one in answers
    }
    for one, more in _amended(answers).items():
        found[one] += more
    for read in _READERS.values():
        for one, more in read(asked, answers).items():
            found[one] += more
    return found


def _now(standing: Standing) -> dict[tuple[str, str], Stands]:
    by_name: dict[tuple[str, str], list[Row]] = {}
    for row in standing.all_rows:
        by_name.setdefault(row.item.name, []).append(row)
    return {name: _stands(rows) for name, rows in by_name.items()}


def _stands(rows: Sequence[Row]) -> Stands:
    """Say how an item stands that several demands may reach: the strictest decision counts."""
    item = rows[0].item
    outcomes = {row.decision.outcome for row in rows if row.decision is not None}
    order = (Outcome.WITHHOLD, Outcome.MISSING, Outcome.NOT_OURS, Outcome.REDACT, Outcome.RELEASE)
    outcome = next((one.value for one in order if one.value in outcomes), "")
    return Stands(
        item.case_id,
        item.called,
        outcome,
        item.digest,
        item.copy_digest if outcome == Outcome.REDACT else "",
        is_changed=any(row.is_changed for row in rows),
        is_marked_anew=any(row.is_marked_anew for row in rows),
    )


def _amended(answers: Sequence[Answer]) -> dict[Answer, list[Differs]]:
    """Name what was added to a report after an answer was built that holds it; one statement."""
    cases = {
        one: {held.case_id for held in held_in(one.sent_items) if held.kind == ItemKind.REPORT}
        for one in answers
    }
    every = {case for found in cases.values() for case in found}
    if not every:
        return {}
    rows = Addendum.objects.active().filter(case__in=every).order_by("made_at", "number")
    added = list(rows.values_list("case", "kind", "number", "made_at"))
    return {
        one: [
            Differs(f"{kind.capitalize()} {number} was added to the report after it was built.")
            for case, kind, number, at in added
            if case in cases[one] and one.built_at is not None and at > one.built_at
        ]
        for one in answers
    }
