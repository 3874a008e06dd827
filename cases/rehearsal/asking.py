"""What a witness is asked now: the questions from the record and the office's own, with how far."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from uuid import UUID

from cases.exhibits.models import Exhibit, ExhibitSet
from cases.exhibits.queries import exhibits_of
from cases.models import Case
from cases.rehearsal import queries
from cases.rehearsal.models import OwnQuestion
from cases.rehearsal.questions import Question, questions_on
from cases.rehearsal.rules import Standing, standing
from cases.witness.answers import Said
from cases.witness.queries import answers_for
from me_office.accounts.models import Staff


@dataclass(frozen=True)
class Asked:
    """A question with how its answer came last; `own` where somebody here wrote it."""

    question: Question
    outcome: str
    own: OwnQuestion | None = None


@dataclass(frozen=True)
class Rehearsal:
    """All that is asked on an exhibit, or on a set as a whole, and what is rehearsed after it."""

    questions: tuple[Asked, ...]
    standing: Standing
    next_id: UUID | None
    next_words: str


def asked_on(
    witness: Staff,
    case: Case,
    exhibit_set: ExhibitSet,
    exhibit: Exhibit | None,
    own: Sequence[OwnQuestion],
) -> Rehearsal:
    """Return what is asked of this witness on an exhibit, or on the set as a whole."""
    came = queries.outcomes_of(witness, exhibit_set).get(exhibit.pk if exhibit else None, {})
    asked: list[Asked] = []
    if exhibit is None:
        first = next(iter(exhibits_of(exhibit_set)), None)
        following = (first.pk, f"Exhibit {first.number}") if first else (None, "")
    else:
        answers = answers_for(case, exhibit)
        asked = [Asked(one, came.get(one.key, "")) for one in questions_on(answers)]
        after = answers.next
        following = (after.exhibit_id, f"Exhibit {after.number}") if after else (None, "")
    for one in own:
        question = Question(f"own:{one.pk}", one.question, (Said(one.answer),))
        asked.append(Asked(question, came.get(question.key, ""), one))
    there = standing([one.question.key for one in asked], came)
    return Rehearsal(tuple(asked), there, *following)
