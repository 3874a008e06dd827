"""The rules of completeness: as they come, as the office keeps them, how they stand. No database.

A rule is documented, missing, or does not apply, each for a reason that can be read. A rule that
the office needs ("must") keeps a draft from review while it is missing, unless its author says why
it goes without.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from enum import StrEnum
from functools import cache
from pathlib import Path
from types import MappingProxyType
from typing import Any, Final

from cases.checking.applies import APPLIES
from cases.checking.facts import Facts
from cases.checking.lacks import LACKS
from me_office.statements import COMMON_PRACTICE, Statement, statement, statement_list

_FILE: Final = Path(__file__).with_name("standards.json")
PLACE: Final = "Checks of a case"
ASSISTS = statement(
    "checks.assist",
    "The checks read what is recorded. They decide nothing, and a rule that is met does not show "
    "that the work was done well. Which rules an office needs is for the office to decide, under "
    "local law.",
    where=PLACE,
    source=COMMON_PRACTICE,
)
EDITION = statement(
    "checks.edition",
    "Numbers are those of the 2016 text of the National Association of Medical Examiners’ Forensic "
    "Autopsy Performance Standards, whose contents were seen; that text ran out in 2020, and a "
    "later edition exists. Where a number could not be checked, the title stands alone. The "
    "wording is our own.",
    where=PLACE,
    source="National Association of Medical Examiners, Forensic Autopsy Performance Standards "
    "(2016 text; contents seen); that it ran out and a later edition exists: source not checked",
)


class Level(StrEnum):
    """How much an office wants a rule."""

    MUST = "must"
    SHOULD = "should"


LEVEL_WORDS: Final = MappingProxyType({Level.MUST: "must before review", Level.SHOULD: "should"})


class Standing(StrEnum):
    """How a rule stands in a case."""

    MISSING = "missing"
    DOCUMENTED = "documented"
    NOT_APPLICABLE = "does not apply"


class Answered(StrEnum):
    """What a person said of a rule in a case."""

    CONFIRMED = "confirmed"
    NOT_APPLICABLE = "does not apply"
    LEFT_OUT = "left out"


ANSWER_WORDS: Final = MappingProxyType(
    {
        Answered.CONFIRMED: "It was done",
        Answered.NOT_APPLICABLE: "It does not apply to this case",
        Answered.LEFT_OUT: "The report goes to review without it",
    }
)


@dataclass(frozen=True)
class Rule:
    """One rule as it is asked. A rule of the office's own is confirmed by a person."""

    key: str
    words: str
    source: str = ""
    title: str = ""
    number: str = ""
    level: str = Level.SHOULD
    applies: str = "always"
    lacks: str = ""
    page: str = ""
    is_own: bool = False

    @property
    def must(self) -> bool:
        """Whether it is needed before review."""
        return self.level == Level.MUST

    @property
    def named(self) -> str:
        """The number with its edition and the title; of the office's own, that it is one."""
        if self.is_own:
            return "The office’s own"
        return f"{self.number} ({edition()} edition), {self.title}" if self.number else self.title


@dataclass(frozen=True)
class Example:
    """Facts as a rule's examples give them; `silent` is None where it always applies."""

    passes: Mapping[str, Any]
    fails: Mapping[str, Any]
    silent: Mapping[str, Any] | None = None


@dataclass(frozen=True)
class Change:
    """What the office changed of a rule, or a rule of its own."""

    key: str
    words: str = ""
    level: str = Level.SHOULD
    is_off: bool = False
    is_own: bool = False
    applies: str = "always"


@dataclass(frozen=True)
class Answer:
    """What a person said of a rule in a case, and why."""

    answer: str
    why: str = ""
    by: str = ""
    row: Any = None


@dataclass(frozen=True)
class Outcome:
    """How a rule stands: what is missing, or why it does not apply, in words."""

    rule: Rule
    standing: Standing
    detail: str = ""
    answer: Answer | None = None

    @property
    def is_left_out(self) -> bool:
        """Whether the author sends the report without it."""
        return self.answer is not None and self.answer.answer == Answered.LEFT_OUT

    @property
    def blocks(self) -> bool:
        """Whether it keeps a draft from review."""
        return self.rule.must and self.standing is Standing.MISSING and not self.is_left_out

    @property
    def sentence(self) -> str:
        """What is missing, as a sentence."""
        return f"{self.rule.words}: {self.detail}."


@dataclass(frozen=True)
class Counted:
    """How many rules stand how."""

    missing: int = 0
    must: int = 0
    documented: int = 0
    not_applicable: int = 0
    left_out: int = 0


@cache
def _read() -> Mapping[str, Any]:
    found: Mapping[str, Any] = json.loads(_FILE.read_text(encoding="utf-8"))
    return found


def edition() -> str:
    """The edition of the standards whose numbers are given."""
    return str(_read()["edition"])


@cache
def shipped() -> Mapping[str, Rule]:
    """The rules as they come, by key, in their order."""
    sources = _read()["sources"]
    return MappingProxyType(
        {
            row["key"]: Rule(
                key=row["key"],
                words=row["words"],
                source=sources[row["source"]],
                title=row["title"],
                number=row["number"],
                level=row["level"],
                applies=row["applies"],
                lacks=row["lacks"],
                page=row["page"],
            )
            for row in _read()["rules"]
        }
    )


@cache
def examples() -> Mapping[str, Example]:
    """Of each rule one case that passes, one that fails, and one in which it does not apply."""
    return MappingProxyType(
        {
            row["key"]: Example(row["passes"], row["fails"], row.get("silent"))
            for row in _read()["rules"]
        }
    )


@statement_list
def _as_listed() -> Iterator[Statement]:
    for one in shipped().values():
        yield Statement(f"check.{one.key}", one.words, PLACE, one.source)


def in_force(changes: Iterable[Change]) -> list[Rule]:
    """Return the rules that the office asks: as they come, as it changed them, and its own."""
    changed = {one.key: one for one in changes}
    rules = []
    for rule in shipped().values():
        change = changed.get(rule.key)
        if change is None:
            rules.append(rule)
        elif not change.is_off:
            rules.append(replace(rule, words=change.words or rule.words, level=change.level))
    own = (one for one in changed.values() if one.is_own and not one.is_off)
    rules += [own_rule(one) for one in own]
    return rules


def own_rule(change: Change) -> Rule:
    """Return a rule of the office's own."""
    return Rule(
        key=change.key,
        words=change.words,
        source="The office’s own rule",
        level=change.level,
        applies=change.applies,
        is_own=True,
    )


def outcome_of(rule: Rule, facts: Facts, answer: Answer | None = None) -> Outcome:
    """Return how one rule stands in a case."""
    if why := APPLIES[rule.applies](facts):
        return Outcome(rule, Standing.NOT_APPLICABLE, why)
    if answer is not None and answer.answer == Answered.NOT_APPLICABLE:
        return Outcome(rule, Standing.NOT_APPLICABLE, answer.why, answer)
    if rule.is_own:
        if answer is not None and answer.answer == Answered.CONFIRMED:
            return Outcome(rule, Standing.DOCUMENTED, answer.why, answer)
        return Outcome(rule, Standing.MISSING, "not confirmed", answer)
    lacks: Callable[[Facts], str] = LACKS[rule.lacks]
    if lacking := lacks(facts):
        return Outcome(rule, Standing.MISSING, lacking, answer)
    return Outcome(rule, Standing.DOCUMENTED)


def outcomes(rules: Iterable[Rule], facts: Facts, answers: Mapping[str, Answer]) -> list[Outcome]:
    """Return how every rule stands, in the order of the rules."""
    return [outcome_of(rule, facts, answers.get(rule.key)) for rule in rules]


def counted(found: Sequence[Outcome]) -> Counted:
    """Count the outcomes; what the report goes without is missing too."""
    missing = [one for one in found if one.standing is Standing.MISSING]
    return Counted(
        missing=len(missing),
        must=sum(one.blocks for one in missing),
        documented=sum(one.standing is Standing.DOCUMENTED for one in found),
        not_applicable=sum(one.standing is Standing.NOT_APPLICABLE for one in found),
        left_out=sum(one.is_left_out for one in missing),
    )


def allowed_answers(outcome: Outcome) -> list[Answered]:
    """Return what a person may say of a rule that is missing."""
    if outcome.standing is not Standing.MISSING:
        return []
    own = [Answered.CONFIRMED] if outcome.rule.is_own else []
    must = [Answered.LEFT_OUT] if outcome.rule.must else []
    return [*own, Answered.NOT_APPLICABLE, *must]


# What contradicts itself --------------------------------------------------------------------------


@dataclass(frozen=True)
class Place:
    """One of two places that do not say the same: `kind` names its page, `of` the record there."""

    label: str
    kind: str
    of: Any = None


@dataclass(frozen=True)
class Alarm:
    """Two places of the record that do not agree, in words; it only asks.

    `sides` is what stands at both: by it the alarm comes back when either changes.
    """

    rule: str
    words: str
    places: tuple[Place, ...] = ()
    sides: tuple[str, ...] = field(default=(), repr=False)

    @property
    def key(self) -> str:
        """What it is about, the same as long as both sides stay as they are."""
        said = json.dumps([self.words, *self.sides], ensure_ascii=False)
        return f"{self.rule}:{hashlib.sha256(said.encode()).hexdigest()[:32]}"
