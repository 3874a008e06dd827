"""What the calculations add to the course of a case."""

from __future__ import annotations

from typing import Any

from cases import course
from findings.computing.models import Calculation


def _words(case: Any) -> str:
    kept: int = case.computing_kept
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
