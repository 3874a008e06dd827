"""What a finding may mean, kept apart from what was seen."""

from __future__ import annotations

from findings.actions.entry import refuse
from findings.actions.parts import Part
from findings.models import Interpretation
from findings.rules import wrong_with_interpretation

INTERPRETATION_FIELDS = ("statement", "standing", "ground", "confidence")


def _check(interpretation: Interpretation) -> None:
    refuse(
        wrong_with_interpretation(standing=interpretation.standing, ground=interpretation.ground)
    )


INTERPRETATION = Part(
    Interpretation,
    "interpretation_id",
    INTERPRETATION_FIELDS,
    named="interpretation",
    check=_check,
)
record_interpretation = INTERPRETATION.adds_to_finding("record_interpretation")
change_interpretation = INTERPRETATION.changes("change_interpretation")
void_interpretation = INTERPRETATION.voids("void_interpretation")
