"""What results add to the course of a case."""

from __future__ import annotations

from typing import Any

from cases.course import Step, count_of, register
from evidence.results.models import Result


def _words(case: Any) -> str:
    if not case.results_recorded:
        return "none yet"
    waiting = f", {case.results_preliminary} preliminary" if case.results_preliminary else ""
    return f"{case.results_recorded}{waiting}"


def _current() -> Any:
    replaced = Result.objects.active().filter(replaces__isnull=False).values("replaces")
    return Result.objects.active().exclude(pk__in=replaced)


register(
    Step(
        key="results",
        title="Results",
        order=65,
        url_name="results:all",
        words=_words,
        annotations={
            "results_recorded": count_of(_current()),
            "results_preliminary": count_of(_current().filter(status="preliminary")),
        },
    )
)
