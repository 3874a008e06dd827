"""Curricula vitae that go out in a packet: which may be chosen, and how they are written."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from uuid import UUID

from django.db.models import Q

from cases.appearances.models import Appearance
from cases.models import Case
from cases.packets.models import Packet
from cases.qualifications.models import CurriculumVersion
from cases.qualifications.printing import file_name, print_curriculum
from cases.qualifications.queries import versions_where
from cases.qualifications.rules import in_force_words
from cases.review.models import Report
from cases.review.rules import canonical_of

FOLDER = "curriculum-vitae"


def may_be_sent(case: Case) -> list[tuple[str, str]]:
    """Return the versions of the case's pathologist, author and witnesses, as choices of a form.

    Each says when it was in force: a court may ask for the one of the day of the report.
    """
    witnesses = Appearance.objects.active().filter(case=case).order_by()
    authors = Report.objects.filter(case=case).order_by()
    whose = Q(person__in=witnesses.values("witness")) | Q(person__in=authors.values("author"))
    if case.pathologist_id:
        whose |= Q(person=case.pathologist_id)
    return [
        (
            str(one.version.pk),
            f"{one.version.person}, version {one.version.number}, "
            f"in force {in_force_words(one.since, one.until)}",
        )
        for one in versions_where(whose)
    ]


def of_packets(packets: Sequence[Packet]) -> dict[UUID, list[CurriculumVersion]]:
    """Return the versions that were chosen for each packet, by person; one statement, or none."""
    chosen = {key for packet in packets for key in packet.curricula}
    if not chosen:
        return {packet.pk: [] for packet in packets}
    rows = CurriculumVersion.objects.filter(pk__in=chosen).select_related("person")
    found = list(rows.order_by("person__display_name", "person_id", "number"))
    return {
        packet.pk: [one for one in found if str(one.pk) in packet.curricula] for packet in packets
    }


def words_of(versions: Sequence[CurriculumVersion]) -> str:
    """Name versions: Dr. I. Vasko, version 2."""
    return "; ".join(f"{one.person}, version {one.number}" for one in versions)


def write_curricula(folder: Path, versions: Sequence[CurriculumVersion]) -> None:
    """Write each version as it was issued: the PDF, and the content whose digest it prints."""
    for version in versions:
        there = folder / FOLDER
        there.mkdir(exist_ok=True)
        name = file_name(version)
        (there / f"{name}.pdf").write_bytes(print_curriculum(version).pdf)
        (there / f"{name}.json").write_bytes(canonical_of(version.content))
