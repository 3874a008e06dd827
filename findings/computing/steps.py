"""What the calculations add to the course of a case."""

from __future__ import annotations

from cases import course
from cases.models import Case
from findings.computing.models import Calculation
from me_office.prepared import Facts


def _words(case: Case, facts: Facts) -> str:
    kept: int = facts["computing_kept"]
    return f"{kept} kept" if kept else "none"


course.register(
    course.Step(
        key="calculations",
        title="Calculations",
        order=75,
        url_name="computing:calculations",
        words=_words,
        annotations={"computing_kept": course.count_of(Calculation.objects.active())},
    )
)
