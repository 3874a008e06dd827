"""Reads of checks: how they stand in a case, what the office asks, what was set aside."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from uuid import UUID

from django.db.models import QuerySet

from cases.checking.contradictions import alarms_in
from cases.checking.known import facts_of
from cases.checking.models import CheckAnswer, CheckSetAside, OfficeCheck
from cases.checking.reading import CaseRead, read_case
from cases.checking.rules import (
    Alarm,
    Answer,
    Change,
    Counted,
    Outcome,
    Rule,
    Standing,
    counted,
    in_force,
    outcomes,
    own_rule,
    shipped,
)
from cases.models import Case
from findings.questions.queries import Question
from me_office.audit.errors import NotKnown, known
from me_office.audit.queries import HistoryEntry, record_history


@dataclass(frozen=True)
class Checked:
    """How a case stands: every rule, and what contradicts itself, open or set aside."""

    case: Case
    outcomes: Sequence[Outcome] = ()
    alarms: Sequence[Alarm] = ()
    set_aside: Sequence[CheckSetAside] = field(default=())

    @property
    def counted(self) -> Counted:
        """How many rules stand how."""
        return counted(self.outcomes)

    @property
    def missing(self) -> list[Outcome]:
        """What is missing and not sent without, those first that the office needs."""
        rows = [one for one in self.outcomes if one.standing is Standing.MISSING]
        return sorted(rows, key=lambda one: (one.is_left_out, not one.rule.must))

    @property
    def open(self) -> list[Outcome]:
        """What is missing and not sent without."""
        return [one for one in self.missing if not one.is_left_out]

    @property
    def left_out(self) -> list[Outcome]:
        """What the author sends the report without, with the reason."""
        return [one for one in self.missing if one.is_left_out]

    @property
    def documented(self) -> list[Outcome]:
        """What the record has."""
        return [one for one in self.outcomes if one.standing is Standing.DOCUMENTED]

    @property
    def not_applicable(self) -> list[Outcome]:
        """What does not apply, and why."""
        return [one for one in self.outcomes if one.standing is Standing.NOT_APPLICABLE]

    @property
    def answered(self) -> list[Outcome]:
        """What a person said does not apply to this case."""
        return [one for one in self.not_applicable if one.answer]

    @property
    def blocking(self) -> list[Outcome]:
        """What keeps a draft from review."""
        return [one for one in self.outcomes if one.blocks]


def checks_of(case: Case) -> Checked:
    """Return how a case stands; a fixed number of statements."""
    return checks_in(case, read_case(case))


def checks_in(case: Case, read: CaseRead) -> Checked:
    """Return the same from what was read, with three statements more."""
    aside = set_aside_in(case)
    keys = {one.key for one in aside}
    alarms = alarms_in(read)
    now = {one.key for one in alarms}
    return Checked(
        case,
        outcomes(rules_in_force(), facts_of(read), answers_in(case)),
        [one for one in alarms if one.key not in keys],
        # Of what changed since, the reason is no longer of anything: the history keeps it.
        [one for one in aside if one.key in now],
    )


def blocking_review(case: Case) -> list[Outcome]:
    """Return what the office needs before review and what this case lacks without a reason."""
    rules = [one for one in rules_in_force() if one.must]
    if not rules:
        return []
    found = outcomes(rules, facts_of(read_case(case)), answers_in(case))
    return [one for one in found if one.blocks]


def rules_in_force() -> list[Rule]:
    """Return the rules that the office asks; one statement."""
    return in_force(_change(one) for one in OfficeCheck.objects.active().order_by("created_at"))


def _change(one: OfficeCheck) -> Change:
    return Change(one.key, one.words, one.level, one.is_off, one.is_own, one.applies)


def answers_in(case: Case) -> dict[str, Answer]:
    """Return what was said of checks in a case, by their keys; one statement."""
    rows = CheckAnswer.objects.active().filter(case=case).select_related("changed_by")
    return {
        one.key: Answer(one.answer, one.why, one.changed_by.printed_name, one)
        for one in rows.order_by("created_at", "pk")
    }


def list_of_answers(case: Case) -> list[CheckAnswer]:
    """Return the same as rows, newest first; one statement."""
    rows = CheckAnswer.objects.active().filter(case=case).select_related("created_by")
    return list(rows.order_by("-created_at", "-pk"))


def one_answer(case: Case, record_id: UUID) -> CheckAnswer:
    """Return an answer, also one that was taken back. Raises NotKnown."""
    return known(CheckAnswer.objects.filter(case=case, pk=record_id).first(), "answer to a check")


def set_aside_in(case: Case) -> list[CheckSetAside]:
    """Return what was set aside in a case, newest first, with who did it; one statement."""
    rows: QuerySet[CheckSetAside] = CheckSetAside.objects.active().filter(case=case)
    return list(rows.select_related("created_by").order_by("-created_at", "-pk"))


def with_reasons(case: Case, questions: list[Question]) -> list[Question]:
    """Say of each question that was set aside who did and why; one statement if any is asked.

    It goes on being asked: by the words alone nobody knows whether either place changed since.
    """
    if not questions:
        return questions
    left = {one.words: one for one in set_aside_in(case)}
    return [replace(one, left=left.get(one.words)) for one in questions]


def one_set_aside(case: Case, record_id: UUID) -> CheckSetAside:
    """Return what was set aside, also when it was taken back. Raises NotKnown."""
    found = CheckSetAside.objects.filter(case=case, pk=record_id).first()
    if found is None:
        raise NotKnown("Nothing with this key is set aside in this case.")
    return found


def alarms_of(case: Case) -> list[Alarm]:
    """Return what contradicts itself in a case and nobody set aside."""
    return list(checks_of(case).alarms)


def outcome_with_key(case: Case, key: str) -> Outcome:
    """Return how one check stands in a case. Raises NotKnown."""
    found = next((one for one in checks_of(case).outcomes if one.rule.key == key), None)
    return known(found, "check")


def alarm_with_key(case: Case, key: str) -> Alarm | None:
    """Return what is pointed out under a key now, whether set aside or not; else None."""
    return next((one for one in alarms_in(read_case(case)) if one.key == key), None)


@dataclass(frozen=True)
class Kept:
    """A check as the office keeps it, beside how it comes; `row` where it changed anything."""

    rule: Rule
    row: OfficeCheck | None = None

    @property
    def key(self) -> str:
        """The key by which addresses name it."""
        return self.rule.key

    @property
    def words(self) -> str:
        """What is asked."""
        return self.row.words if self.row else self.rule.words

    @property
    def level(self) -> str:
        """How much it is needed."""
        return self.row.level if self.row else self.rule.level

    @property
    def is_off(self) -> bool:
        """Whether this office does not ask it."""
        return bool(self.row and self.row.is_off)

    @property
    def is_own(self) -> bool:
        """Whether it is a check of the office's own."""
        return self.rule.is_own

    @property
    def source(self) -> str:
        """Where it is from."""
        return self.rule.source

    @property
    def named(self) -> str:
        """The number with its edition, and the title."""
        return self.rule.named

    @property
    def applies(self) -> str:
        """When it is asked, by the name of the rule."""
        return self.row.applies if self.row and self.is_own else self.rule.applies

    @property
    def version(self) -> int:
        """The version of what the office changed; 0 for a check as it comes."""
        return self.row.version if self.row else 0


def office_checks() -> list[Kept]:
    """Return every check, those of the office last, with those not asked; one statement."""
    rows = {one.key: one for one in OfficeCheck.objects.active().select_related("changed_by")}
    own = sorted((one for one in rows.values() if one.is_own), key=lambda one: one.created_at)
    kept = [Kept(rule, rows.get(rule.key)) for rule in shipped().values()]
    return [*kept, *(Kept(own_rule(_change(one)), one) for one in own)]


def office_check(key: str) -> Kept:
    """Return one check as the office keeps it. Raises NotKnown."""
    return known(next((one for one in office_checks() if one.key == key), None), "check")


def earlier_changes(key: str) -> list[HistoryEntry]:
    """Return what was done to a check, newest first."""
    rows = OfficeCheck.objects.filter(key=key).order_by("-created_at", "-id")
    table = OfficeCheck._meta.db_table
    records = [(table, str(pk)) for pk in rows.values_list("pk", flat=True)]
    return record_history(*records[0], also=records[1:]) if records else []
