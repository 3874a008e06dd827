"""Reads of due days: how one was counted, what changed it, and which would be another now."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from uuid import UUID

from cases.access import cases_open_to
from cases.clock.models import ClockChange, DueCount
from cases.clock.rules import Standing, days_left
from cases.counting.models import CourtClosure
from cases.counting.queries import Asked, Rule, closures_for, count_with
from cases.counting.rules import court_key, ruleset_of
from cases.court.models import RecordsRequest
from cases.court.rules import RequestState
from findings.calculations.counting import (
    Count,
    Period,
    RuleSet,
    Unit,
    count,
    court_days_between,
)
from me_office.accounts.models import Staff
from me_office.audit.errors import known

# So many open requests that were counted are looked at for what a closure moved.
LOOKED_AT = 200


def standing_of(asked: RecordsRequest) -> Standing:
    """Return how a request stands."""
    return Standing(asked.due_on, asked.stopped_since)


def count_of(asked: RecordsRequest) -> DueCount | None:
    """Return the count that holds."""
    rows = DueCount.objects.active().filter(request=asked).select_related("created_by")
    return rows.order_by("-created_at", "-id").first()


def changes_of(asked: RecordsRequest) -> list[ClockChange]:
    """Return what changed a request's clock, withdrawn ones too, in the order of the days."""
    rows = ClockChange.objects.filter(request=asked).select_related("created_by", "file")
    return list(rows.order_by("on", "created_at", "id"))


def change_of(asked: RecordsRequest, record_id: UUID) -> ClockChange:
    """Return one of them. Raises NotKnown."""
    rows = ClockChange.objects.filter(request=asked).select_related("created_by", "file")
    return known(rows.filter(pk=record_id).first(), "change of the clock")


def newest_change(asked: RecordsRequest) -> ClockChange | None:
    """Return the change that was noted last, of those that stand."""
    rows = ClockChange.objects.active().filter(request=asked)
    return rows.order_by("-created_at", "-id").first()


def end_now(kept: DueCount, closures: Sequence[CourtClosure]) -> date | None:
    """Count again by the rule as it was, with the closures of today; None where it cannot be."""
    if kept.basis != "counted" or kept.trigger_on is None or kept.amount is None:
        return None
    wanted = {"", court_key(kept.court)}
    found = count(
        ruleset_of(kept.rule_as_it_was),
        kept.trigger_on,
        Period(kept.amount, Unit(kept.unit)),
        way=kept.way,
        closures=[one.closure for one in closures if court_key(one.court) in wanted],
    )
    return found.end


def _rule_of_left(kept: DueCount | None) -> tuple[RuleSet, Unit] | None:
    """Return by which rule, and in which unit, the rest of a count is counted; None without one.

    The rest is of the kind that was counted: the rule of short periods was asked once, for the
    whole period, and does not hold of what is left of a long one.
    """
    if kept is None or kept.basis != "counted":
        return None
    rule = ruleset_of(kept.rule_as_it_was)
    is_short = (kept.amount or 0) < rule.court_days_below
    unit = Unit.COURT_DAYS if is_short or kept.unit == Unit.COURT_DAYS else Unit.DAYS
    return replace(rule, court_days_below=0), unit


@dataclass(frozen=True)
class Left:
    """What was left of a request's time when its clock stopped."""

    number: int
    unit: Unit

    @property
    def words(self) -> str:
        """As it is read: 4 court days."""
        return f"{self.number} {self.unit.removesuffix('s') if self.number == 1 else self.unit}"


def left_of(asked: RecordsRequest) -> Left:
    """Return what is left of a request's time, as it was counted; two statements at most."""
    now, kept = standing_of(asked), count_of(asked)
    of = _rule_of_left(kept)
    if of is None or kept is None or now.stopped_since is None or of[1] is Unit.DAYS:
        return Left(days_left(now), Unit.DAYS)
    closures = closures_for(kept.court, now.stopped_since, now.due_on)
    number = court_days_between(
        of[0], now.stopped_since, now.due_on, [one.closure for one in closures]
    )
    return Left(number, Unit.COURT_DAYS)


def count_left(asked: RecordsRequest, on: date, left: int) -> Count | None:
    """Count what is left from a day on, by the rule as it was; None where no rule was used."""
    kept = count_of(asked)
    of = _rule_of_left(kept)
    if of is None or kept is None or not left:
        return None
    rule, unit = of
    asked_for = Asked(kept.rule_key, on, Period(left, unit), "", kept.court)
    return count_with(Rule(kept.rule_key, rule), asked_for).count


def closures_near(counts: Sequence[DueCount]) -> list[CourtClosure]:
    """Return the closures that may matter to counts, of every court; one statement."""
    days = [day for one in counts for day in (one.trigger_on, one.end_on) if day]
    if not days:
        return []
    first, last = min(days), max(days) + timedelta(days=183)
    rows = CourtClosure.objects.active().filter(last_on__gte=first, first_on__lte=last)
    return list(rows.order_by("first_on", "id")[:2000])


@dataclass(frozen=True)
class Moved:
    """A request whose due day would be another if it were counted now."""

    asked: RecordsRequest
    kept: DueCount
    end: date


def moved_since(actor: Staff) -> list[Moved]:
    """Return the open requests that were counted and would be due on another day now.

    Only those whose day is still the counted one. Three statements, LOOKED_AT requests at most.
    """
    requests = (
        RecordsRequest.objects.filter(
            case__in=cases_open_to(actor),
            state=RequestState.OPEN.value,
            due_basis="counted",
            stopped_since=None,
        )
        .select_related("case")
        .order_by("due_on", "id")[:LOOKED_AT]
    )
    by_key = {one.pk: one for one in requests}
    rows = DueCount.objects.active().filter(request__in=list(by_key), basis="counted")
    newest = rows.order_by("request_id", "-created_at", "-id").distinct("request_id")
    counts = [one for one in newest if by_key[one.request_id].due_on == one.end_on]
    closures = closures_near(counts)
    found = []
    for kept in counts:
        end = end_now(kept, closures)
        if end is not None and end != kept.end_on:
            found.append(Moved(by_key[kept.request_id], kept, end))
    return sorted(found, key=lambda one: (one.end, one.asked.pk))
