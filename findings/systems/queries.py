"""Reads of the internal examination by system, of its templates and of slides."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, TypeVar
from uuid import UUID

from django.contrib.postgres.expressions import ArraySubquery
from django.db.models import Max, Model, OuterRef, QuerySet

from cases.models import Case
from findings.organs.models import OrganWeight
from findings.systems.catalogue import PARTS, SYSTEMS, Part, System, is_asked
from findings.systems.models import MicroscopicSlide, SystemPart, SystemTemplate
from findings.systems.offered import BUILT_IN, STANDARD
from me_office.audit.errors import known

if TYPE_CHECKING:
    from findings.models import Examination


@dataclass(frozen=True)
class PartSeen:
    """One part with what is recorded of it, if anything."""

    part: Part
    row: SystemPart | None
    asked: bool

    @property
    def is_decided(self) -> bool:
        """Tell whether the report will say something of it."""
        return self.row is not None and bool(self.row.decision)


@dataclass(frozen=True)
class SystemSeen:
    """One system with its parts: those that are asked of this body or recorded, and the others."""

    system: System
    parts: Sequence[PartSeen]
    others: Sequence[Part]

    @property
    def decided(self) -> int:
        """How many of its parts are decided."""
        return sum(one.is_decided for one in self.parts)

    @property
    def undecided(self) -> int:
        """How many are not."""
        return len(self.parts) - self.decided


def parts_of(case: Case) -> list[SystemPart]:
    """What is recorded of the parts of a case, in the order of the report."""
    order = {key: place for place, key in enumerate(PARTS)}
    rows = list(SystemPart.objects.filter(case=case).order_by("pk"))
    return sorted((row for row in rows if row.part in order), key=lambda row: order[row.part])


def systems_seen(rows: Sequence[SystemPart], sex: str, chart_body: str) -> list[SystemSeen]:
    """Every system with its parts, from what was read."""
    by_part = {row.part: row for row in rows}
    found = []
    for system in SYSTEMS.values():
        seen, others = [], []
        for part in system.parts:
            asked, row = is_asked(part, sex, chart_body), by_part.get(part.key)
            if asked or (row is not None and (row.decision or row.sentences)):
                seen.append(PartSeen(part, row, asked))
            else:
                others.append(part)
        found.append(SystemSeen(system, seen, others))
    return found


def part_of(case: Case, part: str) -> SystemPart | None:
    """What is recorded of one part of a case, or None."""
    return SystemPart.objects.filter(case=case, part=part).first()


def part_for_update(case: Case, part: str) -> SystemPart | None:
    """The same, locked."""
    found: SystemPart | None = (
        SystemPart.objects.select_for_update().filter(case=case, part=part).order_by("pk").first()
    )
    return found


# The part that tells how the neck was dissected.
DISSECTION = "neck-dissection"


def dissected_words(examination: Examination, row: SystemPart | None) -> str:
    """What is recorded of deep dissection, in the written examination and by system."""
    return f"{examination.deep_dissection}\n{row.said if row else ''}"


def weighed_in(case: Case) -> dict[str, OrganWeight]:
    """The fresh weights of a case by organ: whether a weight has to be asked for."""
    rows = OrganWeight.objects.active().filter(case=case, after_fixation=False)
    return {row.organ: row for row in rows.order_by("created_at", "pk")}


RowT = TypeVar("RowT", bound=Model)


def with_systems(rows: QuerySet[RowT], name: str = "systems_said") -> QuerySet[RowT]:
    """Read rows of a case with what the decided parts of its body systems say, by this name."""
    parts = SystemPart.objects.filter(case=OuterRef("case")).exclude(decision="").order_by("pk")
    read: dict[str, Any] = {name: ArraySubquery(parts.values("said"))}
    with_said: QuerySet[RowT] = rows.annotate(**read)
    return with_said


def systems_words(examination: Examination) -> str:
    """What the decided parts say, all in one; one statement where it was not read before."""
    if examination.systems_said is None:
        rows = SystemPart.objects.filter(case=examination.case_id).exclude(decision="")
        examination.systems_said = list(rows.order_by("pk").values_list("said", flat=True))
    return "\n".join(examination.systems_said)


@dataclass(frozen=True)
class Template:
    """Sentences that are offered for a system: the office's or the standard ones."""

    key: str
    title: str
    lines: Mapping[str, Sequence[str]]

    def lays(self, part: Part) -> list[str]:
        """Return the sentences that it lays before the pathologist for one part."""
        return [*(one.words for one in part.statements), *self.lines.get(part.key, [])]


def office_templates() -> list[SystemTemplate]:
    """The office's templates in use, by system and title."""
    rows = SystemTemplate.objects.active().select_related("changed_by")
    return list(rows.order_by("system", "title", "pk"))


def templates_for(system: str) -> list[Template]:
    """What is offered for a system: the standard sentences, unless the office has others."""
    return offered_from(system, list(SystemTemplate.objects.active().filter(system=system)))


def offered_from(system: str, rows: Sequence[SystemTemplate]) -> list[Template]:
    """The same from templates that were read."""
    own = [
        Template(str(row.pk), f"{row.title}, edition {row.number}", row.lines)
        for row in sorted(rows, key=lambda row: (not row.stands_for_standard, row.title))
    ]
    if any(row.stands_for_standard for row in rows):
        return own
    return [Template(STANDARD, STANDARD, BUILT_IN[system]), *own]


def template_of(template_id: UUID) -> SystemTemplate:
    """One template, in use or not. Raises NotKnown."""
    row = SystemTemplate.objects.select_related("changed_by", "created_by").filter(pk=template_id)
    return known(row.first(), "template")


def editions_of(template: SystemTemplate) -> list[SystemTemplate]:
    """The template and what it replaced, newest first; one statement."""
    rows = SystemTemplate.objects.filter(system=template.system, number__lte=template.number)
    by_key = {row.pk: row for row in rows.select_related("created_by")}
    found, one = [], by_key.get(template.pk)
    while one is not None:
        found.append(one)
        one = by_key.get(one.replaces_id) if one.replaces_id else None
    return found


def slides_of(case: Case) -> list[MicroscopicSlide]:
    """The standing slides of a case by number."""
    return list(MicroscopicSlide.objects.active().filter(case=case).order_by("number", "pk"))


def next_slide_number(case: Case) -> int:
    """The number of the next slide; the case is locked. Numbers are not given twice."""
    last = MicroscopicSlide.objects.filter(case=case).aggregate(last=Max("number"))["last"]
    return (last or 0) + 1
