"""Reads of the rules of counting and of closures, and a date counted with them."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date, datetime
from uuid import UUID

from cases.counting.models import CountingRule, CourtClosure
from cases.counting.rules import court_key
from cases.queries.pages import Page, page_after
from findings.calculations.counting import MOST, Closure, Count, Period, RuleSet, Unit, count
from findings.calculations.counting_rules import SHIPPED
from findings.calculations.holiday_calendars import FEDERAL, NO_HOLIDAYS
from me_office.audit.errors import NotKnown, known_of_office
from me_office.audit.queries import HistoryEntry, record_history
from me_office.statements import statement

CHECK_WITH_COUNSEL = statement(
    "counting.counsel",
    "Check with counsel. A count is a reminder, not legal advice: the day is governed by local law "
    "and the court’s own order.",
    where="Counting of days",
    source="common practice",
)
NOT_SERVED_BY_IT = statement(
    "counting.subpoena_days",
    "A subpoena mostly states its own day. Days for the way of service are added only where the "
    "rule gives them to whoever must act after being served.",
    where="Counting of days",
    source="Federal Rules of Civil Procedure, Rule 6(d)",
)


@dataclass(frozen=True)
class Rule:
    """A rule by which days can be counted: one that comes with the software, or the office's."""

    key: str
    ruleset: RuleSet
    record: CountingRule | None = None

    @property
    def approval(self) -> str:
        """Whose counsel approved it, or that nobody did."""
        if self.record is None or not self.record.approved_by:
            return ""
        return self.record.approved_by


def rules() -> list[Rule]:
    """Return the rules in use: the office's by name, then those that come along. One statement."""
    own = CountingRule.objects.active().order_by("name", "id")
    return [
        *(Rule(str(one.pk), one.ruleset, one) for one in own),
        *(Rule(key, ruleset) for key, ruleset in SHIPPED.items()),
    ]


def rule_of(key: str) -> Rule:
    """Return a rule by its key, a retired one too. Raises NotKnown."""
    if key in SHIPPED:
        return Rule(key, SHIPPED[key])
    try:
        found = CountingRule.objects.filter(pk=UUID(key)).first()
    except ValueError:
        found = None
    record = known_of_office(found, "rule of counting")
    return Rule(key, record.ruleset, record)


def own_rules() -> list[CountingRule]:
    """Return the office's rules, retired ones last."""
    rows = CountingRule.objects.select_related("changed_by", "voided_by").order_by("name", "id")
    return sorted(rows, key=lambda one: one.is_voided)


def own_rule_of(record_id: UUID) -> CountingRule:
    """Return one of the office's rules, a retired one too. Raises NotKnown."""
    rows = CountingRule.objects.select_related("changed_by", "voided_by")
    return known_of_office(rows.filter(pk=record_id).first(), "rule of counting")


def closure_page(after: str = "") -> Page[CourtClosure]:
    """Return the closures that follow a key, the latest first. Raises NotKnown for a bad key."""
    rows = CourtClosure.objects.select_related("created_by", "voided_by")
    return page_after(rows.order_by("-first_on", "-id"), after, by="first_on")


def closure_of(record_id: UUID) -> CourtClosure:
    """Return a closure, a withdrawn one too. Raises NotKnown."""
    rows = CourtClosure.objects.select_related("created_by", "voided_by")
    return known_of_office(rows.filter(pk=record_id).first(), "closure")


def history_of(record: CountingRule | CourtClosure) -> list[HistoryEntry]:
    """Return what was done to a rule or a closure, newest first."""
    return record_history(record._meta.db_table, str(record.pk))


def courts() -> list[str]:
    """Return the courts of which closures are kept, by name."""
    names = CourtClosure.objects.active().exclude(court="").order_by("court")
    return list(names.values_list("court", flat=True).distinct()[:200])


def closures_for(court: str, first: date, last: date) -> list[CourtClosure]:
    """Return the closures of a court and of every court that touch these days; one statement."""
    rows = CourtClosure.objects.active().filter(first_on__lte=last, last_on__gte=first)
    wanted = {"", court_key(court)}
    return [one for one in rows.order_by("first_on", "id") if court_key(one.court) in wanted]


@dataclass(frozen=True)
class Asked:
    """What is to be counted, by which rule and in which court."""

    rule: str
    trigger: date | datetime
    period: Period
    way: str = ""
    court: str = ""


@dataclass(frozen=True)
class Counted:
    """A count with the rule by which it was made; its warnings are those of the office, too."""

    rule: Rule
    count: Count
    asked: Asked

    @property
    def steps(self) -> list[dict[str, str]]:
        """The steps as they are kept and shown."""
        return [
            {
                "day": one.when.isoformat() if one.when else "",
                "added": one.added,
                "what": one.what,
                "why": one.why,
            }
            for one in self.count.steps
        ]


def counted(asked: Asked) -> Counted:
    """Count a date. What the rule does not answer is in `count.refused`. Raises NotKnown."""
    rule = rule_of(asked.rule)
    if rule.record is not None and rule.record.is_voided:
        raise NotKnown("This rule is retired.")
    return count_with(rule, asked)


def count_with(rule: Rule, asked: Asked) -> Counted:
    """Count a date by a rule that was read already; at most two statements.

    More only where closures move the end farther than any of them was looked for.
    """
    day = asked.trigger.date() if isinstance(asked.trigger, datetime) else asked.trigger
    reach = _reach(asked.period)
    while True:
        closures = closures_for(asked.court, _plus(day, -reach), _plus(day, reach))
        of_engine: list[Closure] = [one.closure for one in closures]
        found = count(rule.ruleset, asked.trigger, asked.period, way=asked.way, closures=of_engine)
        # Long closures, one after another, lead to days of which nothing was read yet.
        if found.end is None or abs((found.end - day).days) <= reach:
            break
        reach = abs((found.end - day).days) + reach
    warnings = [*found.warnings, *_office_warnings(rule, asked, closures)]
    return Counted(rule, replace(found, warnings=tuple(warnings)), asked)


def _reach(period: Period) -> int:
    """How many days from the event a closure may still matter: twice the period and a half year."""
    days = period.amount / 24 if period.unit is Unit.HOURS else period.amount
    return int(min(max(days, 0), max(MOST.values())) * 2) + 183


def _plus(day: date, days: int) -> date:
    reached = day.toordinal() + days
    return date.fromordinal(min(max(reached, 1), date.max.toordinal()))


def _office_warnings(rule: Rule, asked: Asked, closures: list[CourtClosure]) -> list[str]:
    said: list[str] = []
    if not asked.court:
        said.append("No court was named: only closures of every court were looked at.")
    elif not any(one.court for one in closures):
        said.append(f"No closures of {asked.court} are kept near these days: ask its clerk.")
    if not rule.approval:
        said.append("No counsel’s approval of this rule is recorded.")
    if rule.ruleset.calendar not in {FEDERAL, NO_HOLIDAYS}:
        said.append("The state’s holidays are those of a public list; its courts may keep others.")
    return said
