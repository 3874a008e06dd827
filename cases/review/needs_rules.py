"""Which case needs what review, how a share is drawn, and what a review needs before it is signed.

No database. The draw is HMAC-SHA256 (RFC 2104) of the case's key under a seed that is kept with
its date: who has both gets the same answer for ever.
"""

from __future__ import annotations

import hashlib
import hmac
import re
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum
from typing import Any

from me_office.statements import COMMON_PRACTICE, statement
from me_office.worded import Worded

OF_ALL = 2**64
# Asked of a reviewer where an office says nothing else.
QUESTIONS = [
    statement(f"review.question.{key}", words, where="Review sheet", source=COMMON_PRACTICE)
    for key, words in (
        ("circumstances", "Were the circumstances reviewed, and does the history agree with them?"),
        ("identity", "Is the identification supported?"),
        ("photographs", "Do the photographs support the findings?"),
        ("chart", "Does the body chart agree with the text?"),
        ("negatives", "Are the negative findings that matter stated?"),
        ("results", "Are the results of laboratories and consultants taken into account?"),
        ("cause", "Is the cause of death supported by the findings?"),
        ("manner", "Is the manner of death supported by findings and circumstances?"),
        ("opinion", "Is the opinion in plain words, and no surer than its basis?"),
    )
]
ANSWERS = {"yes": "yes", "no": "no", "na": "not applicable"}


class Ground(StrEnum):
    """Why a case needs more than the review that every report has."""

    MANNER = "manner"
    AGE = "age"
    CUSTODY = "custody"
    DRAW = "draw"


@dataclass(frozen=True)
class Circumstances:
    """What the rules ask of a case."""

    manner: str
    manner_words: str
    age_years: Decimal | None
    place_kind: str
    # The ground of the jurisdiction, in the office's own words.
    ground: str = ""


# The kind of place and the ground of jurisdiction are free words: any of these means custody.
_CUSTODY = re.compile(
    r"(?<!not in )(?<!no )(?<!not )\b(?:custody|jail|prison|detention|detained|detainee|inmate)\b",
    re.IGNORECASE,
)


def custody_words(of: Circumstances, custody_places: Collection[str]) -> str:
    """Say by which words of the record a death was in custody; empty where none says so."""
    places = {place.casefold().strip() for place in custody_places} - {""}
    kind, ground = of.place_kind.strip(), of.ground.strip()
    if kind.casefold() in places or _CUSTODY.search(kind):
        return f"place of death: {kind.lower()}"
    return f"ground of jurisdiction: {ground}" if _CUSTODY.search(ground) else ""


@dataclass(frozen=True)
class Rule:
    """Of which cases something is asked: any of these is enough."""

    manners: Collection[str] = ()
    under_age: int | None = None
    custody: bool = False


@dataclass(frozen=True)
class Draw:
    """How a case came out of the draw: `value` of OF_ALL, against a share in percent."""

    value: int
    percent: Decimal

    @property
    def is_drawn(self) -> bool:
        """Tell whether the case is of the share."""
        return self.value * 100 < self.percent * OF_ALL

    @property
    def number(self) -> str:
        """The number drawn, from 0 up to 1, cut after six digits."""
        return f"0.{self.value * 10**6 // OF_ALL:06d}"

    @property
    def words(self) -> str:
        """How it came about."""
        how = "below" if self.is_drawn else "not below"
        return f"drawn number {self.number}, {how} the share of {self.percent.normalize():f} %"


def draw_of(seed: str, case_key: str, percent: Decimal) -> Draw:
    """Draw for a case, from the seed in hexadecimal digits and the case's key as text."""
    digest = hmac.new(bytes.fromhex(seed), case_key.encode(), hashlib.sha256).digest()
    return Draw(int.from_bytes(digest[:8], "big"), percent)


def grounds(rule: Rule, of: Circumstances, custody_places: Collection[str]) -> list[Ground]:
    """Return why a rule asks something of a case; empty where it does not."""
    found = []
    if of.manner in rule.manners:
        found.append(Ground.MANNER)
    if rule.under_age is not None and of.age_years is not None and of.age_years < rule.under_age:
        found.append(Ground.AGE)
    if rule.custody and custody_words(of, custody_places):
        found.append(Ground.CUSTODY)
    return found


def ground_words(
    ground: Ground, rule: Rule, of: Circumstances, custody_places: Collection[str] = ()
) -> str:
    """Say a ground in a few words."""
    return {
        Ground.MANNER: f"manner of death: {of.manner_words}",
        Ground.AGE: f"under {rule.under_age} years",
        Ground.CUSTODY: custody_words(of, custody_places) or "death in custody",
        Ground.DRAW: "drawn by lot",
    }[ground]


def wrong_in_sheet(answers: Sequence[Mapping[str, str]]) -> str:
    """Return what cannot be kept of a sheet's answers; empty for nothing."""
    for one in answers:
        if one["answer"] and one["answer"] not in ANSWERS:
            return "Answer yes, no or not applicable."
        if one["answer"] == "no" and not one["words"].strip():
            return f"Say in words what is wrong: {one['question']}"
    return ""


def unanswered_in(questions: Sequence[str], answers: Sequence[Mapping[str, str]]) -> int:
    """Count the questions that have no answer yet."""
    answered = {one["question"] for one in answers if one["answer"]}
    return len([one for one in questions if one not in answered])


class Settled(Worded):
    """What became of a disagreement between reviewer and author."""

    CHANGED = "changed", "the author changed it"
    PERSUADED = "persuaded", "the reviewer was persuaded"
    THIRD = "third", "a third opinion settled it"
    STAYS = "stays", "it stays; both opinions are on record"


@dataclass(frozen=True)
class Opinion:
    """Where one reviewer's own opinion stands; `own` is False for who knew the author's."""

    own: bool
    compared: bool
    differs: bool
    settled: bool


def opinion_wants(said: Mapping[str, str]) -> dict[str, str]:
    """Return, by field, what an opinion of its kind needs and does not have."""
    wanted = {"knows_why": "Say how you know it."}
    if said.get("kind", "own") == "own":
        wanted = {
            "cause": "State the cause of death, or that it cannot be stated, and why.",
            "manner": "Choose a manner of death.",
        }
    return {name: words for name, words in wanted.items() if not (said.get(name) or "").strip()}


def outside_wants(said: Mapping[str, Any], manner: str) -> dict[str, str]:
    """Return, by field, what the opinion of another office's reviewer needs and does not have.

    `said`: kind, cause, manner, knows_why, cause_agrees, settled_words; `manner` is the author's.
    """
    if not said.get("kind"):
        return {"kind": "Say whether it was formed before the author’s was known."}
    wanted = opinion_wants(said)
    if said["kind"] == "own" and said.get("cause_agrees") is None:
        wanted["cause_agrees"] = "Say whether the cause is the same."
    differs = said.get("cause_agrees") is False or said.get("manner") not in ("", None, manner)
    if differs and not (said.get("settled_words") or "").strip():
        wanted["settled_words"] = (
            "The reviewer differs in cause or manner. Say how it was settled, or send the draft "
            "back."
        )
    return wanted


def opinion_lacks(opinion: Opinion | None) -> str:
    """Say what an opinion that was asked for still needs; empty for nothing."""
    if opinion is None:
        return "Your own opinion on cause and manner is not recorded."
    if not opinion.own:
        return ""
    if not opinion.compared:
        return "Your opinion is not compared with the author’s."
    return disagreement_lacks(opinion)


def disagreement_lacks(opinion: Opinion) -> str:
    """Say what keeps a draft from being finished while two opinions differ; empty for nothing.

    Other words of the author's leave it open: whether they agree now, somebody has to say.
    """
    if opinion.own and opinion.differs and not opinion.settled:
        return (
            "A reviewer disagrees with cause or manner, and it is not recorded how it was settled."
        )
    return ""


def sheet_lacks(unanswered: int) -> str:
    """Say what a review sheet still needs; empty for nothing."""
    if not unanswered:
        return ""
    if unanswered == 1:
        return "1 question of the review sheet is not answered."
    return f"{unanswered} questions of the review sheet are not answered."


def reviewer_words(*, open_reviews: int, open_cases: int, wrote: Sequence[str]) -> str:
    """Say how much somebody has to do, and whether they had a part in the report."""
    reviews = f"{open_reviews} open review{'' if open_reviews == 1 else 's'}"
    cases = f"{open_cases} open case{'' if open_cases == 1 else 's'}"
    part = f"; wrote {' and '.join(wrote)}" if wrote else ""
    return f"{reviews}, {cases}{part}"
