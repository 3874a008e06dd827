"""Reads of the store's checks."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any
from uuid import UUID

from django.apps import apps
from django.db.models import ForeignKey, Q

from cases.access import cases_open_to
from cases.models import Case, CaseRecord
from evidence.fixity.models import FixityProblem, FixityRun
from evidence.photographs.models import DerivedImage, Photograph
from evidence.store import named
from evidence.store.models import StoredFile
from me_office.accounts.models import Staff

MOST = 200


@dataclass(frozen=True)
class Concerned:
    """A record that rests on a file, as far as the reader may know of its case."""

    record: CaseRecord
    photograph: Photograph | None
    what: str

    @property
    def case(self) -> Case:
        """Return the case that it belongs to."""
        return self.record.case if self.photograph is None else self.photograph.case


@dataclass(frozen=True)
class Found:
    """A problem with the records it concerns; `hidden` counts those of cases not open here."""

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
    """Return the problems with what they concern, in a fixed number of statements."""
    rows = FixityProblem.objects.filter(resolved_at__isnull=not settled).select_related(
        "file", "resolved_by"
    )
    order = ("-resolved_at", "id") if settled else ("found_at", "id")
    shown = list(rows.order_by(*order)[:MOST])
    concerned = _concerned(shown)
    reached = set(
        cases_open_to(actor)
        .filter(pk__in={each.case.pk for rows in concerned.values() for each in rows})
        .values_list("pk", flat=True)
    )
    return [
        Found(
            problem,
            [each for each in mine if each.case.pk in reached],
            sum(each.case.pk not in reached for each in mine),
        )
        for problem in shown
        for mine in [concerned.get(problem.pk, [])]
    ]


def _concerned(shown: Sequence[FixityProblem]) -> dict[UUID, list[Concerned]]:
    """Return by problem what rests on its file: found from the models that point at a file."""
    by_file: dict[UUID | None, list[Concerned]] = {}
    files = {problem.file_id for problem in shown if problem.file_id}
    for link in links_to_files() if files else ():
        for row in _resting(link.model, link.name, files):
            by_file.setdefault(getattr(row, link.attname), []).append(_of_photograph(row))
    by_row = _of_themselves(shown)
    return {
        problem.pk: by_file.get(problem.file_id, [])
        if problem.file_id
        else [Concerned(row, None, str(row)) for row in by_row.get(problem.row, [])]
        for problem in shown
    }


def links_to_files() -> list[ForeignKey[Any, Any]]:
    """Return every column of a record that points at a stored file."""
    return [
        field
        for model in apps.get_models()
        if model is not FixityProblem
        for field in model._meta.concrete_fields
        if isinstance(field, ForeignKey) and field.related_model is StoredFile
    ]


def _resting(model: type[Any], link: str, files: set[UUID]) -> Any:
    rows = model.objects.filter(**{f"{link}__in": files})
    if model is Photograph:
        return rows.select_related("case__decedent").order_by("case_id", "number")
    if "photograph" not in {field.name for field in model._meta.get_fields()}:
        return rows.select_related("case__decedent").order_by("case_id", "id")
    return rows.select_related("photograph__case__decedent").order_by(
        "photograph__case_id", "photograph__number", "id"
    )


def _of_photograph(row: Any) -> Concerned:
    if isinstance(row, Photograph):
        return Concerned(row, row, "the original")
    if isinstance(row, DerivedImage):
        return Concerned(row.photograph, row.photograph, f"{row.kind} copy, which can be remade")
    photograph = getattr(row, "photograph", None)
    return Concerned(row, photograph, f"the {row._meta.verbose_name}" if photograph else str(row))


def _of_themselves(shown: Sequence[FixityProblem]) -> dict[UUID | None, list[CaseRecord]]:
    """Return the rows that name a file themselves and not by way of a stored file."""
    found: dict[UUID | None, list[CaseRecord]] = {}
    for model in named.kinds():
        keys = [one.row for one in shown if one.named_by == model._meta.label_lower]
        if model is not StoredFile and keys:
            rows: Any = model._base_manager.filter(pk__in=keys)
            for row in rows.select_related("case__decedent"):
                found.setdefault(row.pk, []).append(row)
    return found


def open_problems() -> int:
    """Return how many files are missing or altered and not settled."""
    return FixityProblem.objects.filter(Q(resolved_at=None)).count()
