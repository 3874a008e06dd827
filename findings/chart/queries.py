"""The marks of a case as the body chart draws them."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from uuid import UUID

from cases.models import Case
from findings.body import drawing
from findings.models import Finding, Mark


def chart_mark(finding: Finding, mark: Mark, *, selected: bool = False) -> drawing.Mark:
    """One mark as the chart draws it: with its finding's number and class."""
    at = mark.surface_point
    return drawing.Mark(
        number=finding.number,
        klass=finding.klass.replace(" ", "_"),
        kind=mark.kind,
        view=mark.view,
        points=tuple((float(u), float(v)) for u, v in mark.points),
        point3=(at[0], at[1], at[2]) if at else None,
        region=mark.region or None,
        selected=selected,
        letter=mark.letter,
    )


def chart_marks(
    case: Case, *, findings: Iterable[Finding] | None = None, selected: UUID | None = None
) -> list[drawing.Mark]:
    """The active marks of a case by number; one statement unless `findings` are given."""
    if findings is not None:
        pairs = [(one, mark) for one in findings for mark in one.marks.all()]
    else:
        rows = (
            Mark.objects.active()
            .filter(case=case, finding__voided_at=None)
            .select_related("finding")
            .order_by("finding__number", "created_at", "pk")
        )
        pairs = [(mark.finding, mark) for mark in rows]
    return [chart_mark(one, mark, selected=one.pk == selected) for one, mark in pairs]


def marks_by_view(marks: Iterable[drawing.Mark]) -> Counter[str]:
    """How many marks were placed on each view."""
    return Counter(mark.view for mark in marks)
