"""What results add to the course of a case."""

from __future__ import annotations

from typing import Any

from cases.course import Step, count_of, register
from cases.models import Case
from evidence.results.models import Result
from me_office.prepared import Facts


def _words(case: Case, facts: Facts) -> str:
    if not facts["results_recorded"]:
        return "none yet"
    waiting = (
        f", {facts['results_preliminary']} preliminary" if facts["results_preliminary"] else ""
    )
    return f"{facts['results_recorded']}{waiting}"


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
