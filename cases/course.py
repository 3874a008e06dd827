"""The course of a case: each part of the office adds its step; one statement reads them all."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import datetime
from functools import cache, lru_cache
from typing import Any
from uuid import UUID

from django.db.models import Count, F, IntegerField, OuterRef, QuerySet, Subquery, TextField, Value
from django.db.models.functions import Cast, Coalesce, JSONObject, NullIf
from django.urls import reverse

from cases import access
from cases.access import Act
from cases.models import Case, Decedent
from cases.rules.case import CaseState
from me_office import prepared
from me_office.accounts.models import Staff
from me_office.accounts.roles import Role
from me_office.audit.actions import note_access
from me_office.audit.errors import known_of_office
from me_office.prepared import Facts, Prepared, PreparedRows


@dataclass(frozen=True)
class Step:
    """One step of the course of a case.

    `annotations` are read with the case, in one query; `words` turns the case and what they say
    (`facts`) into the few words below the title ("9 findings"); `url_name` takes the case's id.
    """

    key: str
    title: str
    order: int
    url_name: str
    words: Callable[[Case, Facts], str]
    annotations: dict[str, Any] = field(default_factory=dict)


@dataclass(frozen=True)
class StepShown:
    """A step as the page shows it."""

    key: str
    title: str
    words: str
    url: str
    current: bool


@dataclass(frozen=True)
class Moment:
    """Something that happened in a case; `day_only` where no time of the day is known."""

    at: datetime
    title: str
    detail: str = ""
    reason: str = ""
    who: str = ""
    url: str = ""
    day_only: bool = False


@dataclass(frozen=True)
class CaseFrame:
    """What every page of a case needs: the case, its decedent, its course, and its steps' facts."""

    case: Case
    decedent: Decedent
    steps: list[StepShown]
    current: str
    facts: Facts = field(default_factory=dict)
    # The person is to form an opinion of their own first: cause and manner are not told.
    is_held_back: bool = False

    @property
    def next_step(self) -> StepShown | None:
        """The step after the current one."""
        keys = [step.key for step in self.steps]
        if self.current not in keys or keys.index(self.current) + 1 >= len(keys):
            return None
        return self.steps[keys.index(self.current) + 1]


_STEPS: dict[str, Step] = {}


def register(step: Step) -> None:
    """Add a step; the same key again replaces it."""
    _STEPS[step.key] = step
    _facts_of_steps.cache_clear()


@cache
def _facts_of_steps() -> Prepared:
    return Prepared(
        Case, {name: value for step in steps() for name, value in step.annotations.items()}
    )


@lru_cache(maxsize=1)
def _case_with(facts: Prepared) -> PreparedRows:
    def rows_of(case_id: UUID) -> QuerySet[Case]:
        with_people = Case.objects.select_related("decedent", "investigator", "pathologist")
        told = {prepared.NAME: facts.expression(case_id)}
        return with_people.filter(pk=case_id).annotate(**told).order_by()

    return PreparedRows(rows_of)


def steps() -> list[Step]:
    """Return all steps in their order."""
    return sorted(_STEPS.values(), key=lambda step: step.order)


@dataclass(frozen=True)
class TimeLineRows:
    """Rows of one table that the time line of every case tells, and how.

    `tell` gets the case, each row with nothing but `fields` (`draft__number` is one of a row that
    it points at), and the name of the person to whom the field `who` points.
    """

    rows: QuerySet[Any]
    fields: tuple[str, ...]
    tell: Callable[[Case, Any, str], list[Moment]]
    who: str = ""

    def read(self, case_id: UUID, number: int) -> QuerySet[Any]:
        """Select its rows of a case as `number`, facts and name, to be read with others."""
        name: Any = Value("")
        if self.who:
            shown = NullIf(F(f"{self.who}__display_name"), Value(""))
            name = Coalesce(shown, F(f"{self.who}__username"), Value(""))
        return (
            self.rows.filter(case=case_id)
            .order_by()
            .values_list(
                Value(number, output_field=IntegerField()),
                JSONObject(**{field: field for field in self.fields}),
                Cast(name, TextField()),
            )
        )

    def moments(self, case: Case, facts: dict[str, Any], name: str) -> list[Moment]:
        """Tell one row that was read."""
        row = self.rows.model()
        for key, value in facts.items():
            pointing, _, field = key.rpartition("__")
            if pointing:
                of = row._meta.get_field(pointing).related_model
                setattr(row, pointing, of(**{field: value}))
            else:
                setattr(row, field, row._meta.get_field(field).to_python(value))
        return self.tell(case, row, name)


# Steps and facts that tell what somebody else concluded, and what is said in their place.
HELD_STEPS = frozenset({"cause_and_manner"})
HELD_FACTS = frozenset({"manner", "manner_words"})
HELD_WORDS = "held back"
_HOLDS: list[Callable[[Staff, UUID], bool]] = []


def hold_back_where(is_held: Callable[[Staff, UUID], bool]) -> None:
    """Register who is not told what others concluded in a case that is in review."""
    _HOLDS.append(is_held)


def is_held_back(actor: Staff, case: Case) -> bool:
    """Tell whether a person is to form an opinion of their own first."""
    if case.state != CaseState.IN_REVIEW or not actor.has_role(Role.PATHOLOGIST):
        return False
    return any(is_held(actor, case.pk) for is_held in _HOLDS)


_TIME_LINE: list[TimeLineRows] = []


def add_to_time_line(*rows: TimeLineRows) -> None:
    """Add what happened in one part of the office to the time line of its cases."""
    _TIME_LINE.extend(rows)
    _rows_of_the_time_line.cache_clear()


@cache
def _rows_of_the_time_line() -> PreparedRows:
    def rows_of(case_id: UUID) -> QuerySet[Any]:
        first, *others = [told.read(case_id, number) for number, told in enumerate(_TIME_LINE)]
        return first.union(*others, all=True)

    return PreparedRows(rows_of)


def moments_in(case: Case) -> list[Moment]:
    """Return what all parts of the office add to the time line of a case, in one statement."""
    return [
        moment
        for number, facts, name in _rows_of_the_time_line().tuples(case.pk)
        for moment in _TIME_LINE[number].moments(case, json.loads(facts), name)
    ]


def count_of(model_rows: QuerySet[Any]) -> Coalesce:
    """Return an expression that counts rows whose `case` is the case being read."""
    counted = (
        model_rows.filter(case=OuterRef("pk"))
        .order_by()
        .values("case")
        .annotate(rows=Count("pk"))
        .values("rows")
    )
    return Coalesce(Subquery(counted, output_field=IntegerField()), 0)


def case_frame(
    actor: Staff, case_id: UUID, *, current: str, act: Act = Act.SEE, noted: bool = True
) -> CaseFrame:
    """Read the case for a page, in one statement, and note that the person looked.

    A page that gives out a list notes that itself, with `noted` off. Raises NotKnown, NotAllowed.
    """
    facts = _facts_of_steps()
    case = known_of_office(_case_with(facts).one(Case, case_id), "case")
    told = facts.read_from(case)
    access.require(actor, act, case)
    access.note_shown(actor, case)
    if noted:
        note_access(actor, case_id=case.pk, what=current)
    held = is_held_back(actor, case)
    shown = [
        StepShown(
            step.key,
            step.title,
            HELD_WORDS if held and step.key in HELD_STEPS else step.words(case, told),
            reverse(step.url_name, kwargs={"case_id": case.pk}),
            step.key == current,
        )
        for step in steps()
    ]
    if held:
        told = {name: value for name, value in told.items() if name not in HELD_FACTS}
    return CaseFrame(case, case.decedent, shown, current, told, held)
