"""Page numbers that are given; answers asked for, made, delivered and called back."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any
from uuid import UUID

from cases import access
from cases.access import Act
from cases.actions.entry import refuse_wrong, require_for_office
from cases.answers import queries, rules
from cases.answers.models import PageRun, PageSeries
from me_office.accounts.models import Staff
from me_office.audit.actions import action, recorded_before, save_new, save_next_version, void
from me_office.audit.errors import Refused
from me_office.audit.fields import set_fields
from me_office.audit.ids import new_id
from me_office.jobs import actions as jobs

SERIES_FIELDS = ("prefix", "digits")


@action
def replace_page_series(
    actor: Staff,
    *,
    record_id: UUID,
    entry: Mapping[str, Any],
    of: UUID | None = None,
    reason: str = "",
) -> PageSeries:
    """Number the pages of later answers anew: another prefix, from its first number on.

    `of` is the series that was read, which it takes the place of; None where there is none yet.
    Raises NotAllowed, Refused, StaleRecord, Conflict, Invalid.
    """
    require_for_office(actor, Act.KEEP_CLERK_LISTS)
    made = PageSeries(pk=record_id)
    set_fields(made, entry, SERIES_FIELDS)
    made.prefix = made.prefix.strip().upper()
    made.plain = rules.plain_prefix(made.prefix)
    there = recorded_before(made, assigned=("next",))
    if there is not None:
        return there
    refuse_wrong(rules.wrong_in_series(made.prefix, made.digits))
    standing = queries.series_for_update()
    if (standing.pk if standing else None) != of:
        raise Refused("The page numbers were changed meanwhile. Read them again.")
    if PageSeries.objects.filter(plain=made.plain).exists():
        raise Refused(
            "The office has numbered pages with this prefix before. Choose another.",
            field="prefix",
        )
    if standing is not None:
        void(actor, standing, reason=f"Replaced by {made.prefix}.")
    return save_new(actor, made, own_key=True)


@action
def give_page_numbers(
    actor: Staff, *, answer_id: UUID, attempt: int, count: int, reason: str = ""
) -> PageRun:
    """Give so many page numbers to one attempt at an answer: they are never given again.

    Raises NotKnown, NotAllowed, and TakenOver when a later attempt took over.
    """
    answer = queries.answer_for_update(answer_id)
    access.require(actor, Act.BUILD_ANSWER, answer.case)
    jobs.require_attempt(answer, attempt)
    series = _series_to_number(actor)
    run = PageRun(
        pk=new_id(),
        case=answer.case,
        series=series,
        answer=answer,
        attempt=attempt,
        first=series.next,
        last=series.next + count - 1,
    )
    series.next += count
    save_next_version(actor, series)
    return save_new(actor, run, own_key=True)


def _series_to_number(actor: Staff) -> PageSeries:
    """Return the office's series, locked; the first one is made where nobody chose any."""
    series = queries.series_for_update()
    if series is not None:
        return series
    made = PageSeries(pk=new_id(), plain=rules.plain_prefix(rules.DEFAULT_PREFIX))
    return save_new(actor, made, own_key=True)
