"""What the page of the systems shows of the system that is open."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from findings.models import Examination, Finding
from findings.organs.models import OrganWeight
from findings.questions.contradicting import findings_against, measured_against
from findings.questions.negatives import STATEMENTS, is_stated
from findings.questions.queries import seen_of
from findings.systems.queries import DISSECTION, PartSeen, SystemSeen, dissected_words
from findings.systems.rules import not_to_be_stated, offered_in, weight_question


@dataclass(frozen=True)
class PartShown:
    """One part as its row shows it."""

    seen: PartSeen
    beside: str  # what was measured and is told with it
    weights: Sequence[str]  # "heart 420 g"
    against: str  # what speaks against its negative, stated or offered
    not_yet: str  # why its negative cannot be stated
    question: str  # about a weight in its text
    laid: int  # sentences neither kept nor struck


def parts_shown(
    system: SystemSeen,
    examination: Examination,
    findings: Sequence[Finding],
    weights: dict[str, OrganWeight],
    dissection: PartSeen | None,
) -> list[PartShown]:
    """Return the rows of an open system."""
    seen = [seen_of(one) for one in findings if not one.is_voided]
    dissected = dissected_words(examination, dissection.row if dissection else None)
    shown = []
    for one in system.parts:
        said = one.row.said if one.row else ""
        stated = [s for s in STATEMENTS.values() if said and is_stated(s, said)]
        against = {
            word
            for statement in (stated if one.is_decided else one.part.statements)
            for word in (
                *(f"finding {n}" for n in findings_against(statement, seen)),
                measured_against(statement, examination.coronary_percents, examination.blood_ml),
            )
            if word
        }
        shown.append(
            PartShown(
                one,
                _beside(one.part.key, examination),
                [
                    f"{organ} {weights[organ].weight_g.normalize():f} g"
                    for organ in one.part.organs
                    if organ in weights
                ],
                " and ".join(sorted(against)),
                not_to_be_stated(one.part, dissected, examination.kind),
                weight_question(one.part, one.row.words) if one.row else "",
                sum(s.kept is None for s in offered_in(one.row.sentences)) if one.row else 0,
            )
        )
    return shown


def _beside(part: str, examination: Examination) -> str:
    return {
        "peritoneal-cavity": examination.blood_words,
        "coronary-arteries": examination.coronary_words,
    }.get(part, "")


def dissection_in(systems: Sequence[SystemSeen]) -> PartSeen | None:
    """Return the part that tells how the neck was dissected."""
    return next(
        (one for system in systems for one in system.parts if one.part.key == DISSECTION), None
    )
