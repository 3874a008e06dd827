"""Reads of the store's checks."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from django.db.models import Q

from cases.access import cases_open_to
from evidence.fixity.models import FixityProblem, FixityRun
from evidence.photographs.models import DerivedImage, Photograph
from me_office.accounts.models import Staff

MOST = 200


@dataclass(frozen=True)
class Concerned:
    """A photograph that rests on a file, as far as the reader may know of its case."""

    photograph: Photograph
    what: str


@dataclass(frozen=True)
class Found:
    """A problem with the photographs it concerns; `hidden` counts those of cases not open here."""

    problem: FixityProblem
    concerned: list[Concerned] = field(default_factory=list)
    hidden: int = 0


def runs(*, most: int = 12) -> list[FixityRun]:
    """Return the latest runs, the newest first."""
    return list(FixityRun.objects.order_by("-begun_at", "id")[:most])


def last_finished() -> FixityRun | None:
    """Return the latest run that read the whole store."""
    return FixityRun.objects.exclude(finished_at=None).order_by("-finished_at").first()


def problems(actor: Staff, *, settled: bool = False) -> list[Found]:
    """Return the problems with what they concern, in five statements."""
    rows = FixityProblem.objects.filter(resolved_at__isnull=not settled).select_related(
        "file", "resolved_by"
    )
    order = ("-resolved_at", "id") if settled else ("found_at", "id")
    shown = list(rows.order_by(*order)[:MOST])
    concerned = _concerned([problem.file_id for problem in shown])
    reached = set(
        cases_open_to(actor)
        .filter(pk__in={each.photograph.case_id for rows in concerned.values() for each in rows})
        .values_list("pk", flat=True)
    )
    return [
        Found(
            problem,
            [each for each in mine if each.photograph.case_id in reached],
            sum(each.photograph.case_id not in reached for each in mine),
        )
        for problem in shown
        for mine in [concerned.get(problem.file_id, [])]
    ]


def _concerned(file_ids: list[Any]) -> dict[Any, list[Concerned]]:
    by_file: dict[Any, list[Concerned]] = {}
    originals = Photograph.objects.filter(file__in=file_ids).select_related("case__decedent")
    for photograph in originals.order_by("case_id", "number"):
        by_file.setdefault(photograph.file_id, []).append(Concerned(photograph, "original"))
    copies = DerivedImage.objects.filter(file__in=file_ids).select_related(
        "photograph__case__decedent"
    )
    for copy in copies.order_by("photograph__case_id", "photograph__number", "kind"):
        by_file.setdefault(copy.file_id, []).append(Concerned(copy.photograph, copy.kind))
    return by_file


def open_problems() -> int:
    """Return how many files are missing or altered and not settled."""
    return FixityProblem.objects.filter(Q(resolved_at=None)).count()
