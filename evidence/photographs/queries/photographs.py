"""Reads of the photograph log."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from uuid import UUID

from django.db.models import Exists, OuterRef, Prefetch, Q, QuerySet

from cases.models import Case
from evidence.photographs.models import (
    DerivedImage,
    Photograph,
    PhotographFinding,
    active_links,
)
from evidence.store.models import StoredFile
from findings.models import Finding
from me_office.audit.errors import known
from me_office.audit.models import AccessEvent

# Three screens of the grid; the next ones come before the last of these is reached.
PAGE = 60


@dataclass(frozen=True)
class LogFilter:
    """What the photograph log shows; empty means all."""

    place: str = ""
    view: str = ""
    scale: str = ""  # "with", "without"
    without_finding: bool = False
    finding_id: UUID | None = None
    undescribed: bool = False
    words: str = ""  # in what it shows or its region; a number alone is a photograph's number
    after: int = 0


@dataclass(frozen=True)
class PhotographPage:
    """One page of the log, and the number after which the next one begins."""

    photographs: Sequence[Photograph]
    next_after: int | None
    count: int = 0


@dataclass(frozen=True)
class PacketPhotograph:
    """A photograph as a packet needs it: its line in the log, its file, what it shows."""

    photograph: Photograph
    findings: Sequence[Finding]
    path: str
    sha256: str
    size_bytes: int
    media_type: str
    screen_path: str


def _links() -> Prefetch[str, QuerySet[PhotographFinding], str]:
    return Prefetch("finding_links", active_links(), to_attr="active_links")


def _standing(case: Case) -> QuerySet[Photograph]:
    rows: QuerySet[Photograph] = (
        Photograph.objects.active()
        .filter(case=case)
        .select_related("item", "file")
        .prefetch_related(_links())
        .order_by("number")
    )
    return rows


def photograph_log(case: Case, wanted: LogFilter | None = None) -> list[Photograph]:
    """Return the case's photographs by number, each with `active_links`; two statements."""
    return list(_filtered(case, wanted or LogFilter()))


def photograph_page(case: Case, wanted: LogFilter) -> PhotographPage:
    """Return one page of the log, paged by photograph number, and the count; three statements."""
    rows = list(_filtered(case, wanted)[: PAGE + 1])
    shown = rows[:PAGE]
    count = _filtered(case, replace(wanted, after=0)).count()
    return PhotographPage(shown, shown[-1].number if len(rows) > PAGE else None, count)


def _filtered(case: Case, wanted: LogFilter) -> QuerySet[Photograph]:
    rows = _standing(case)
    if wanted.place:
        rows = rows.filter(place=wanted.place)
    if wanted.view:
        rows = rows.filter(view=wanted.view)
    if wanted.scale:
        rows = rows.filter(with_scale=wanted.scale == "with")
    if wanted.without_finding:
        rows = rows.filter(~Exists(active_link()))
    if wanted.finding_id:
        linked = PhotographFinding.objects.active().filter(finding=wanted.finding_id)
        rows = rows.filter(pk__in=linked.values("photograph"))
    if wanted.undescribed:
        rows = rows.filter(shows="")
    if wanted.words:
        said = Q(shows__icontains=wanted.words) | Q(region__icontains=wanted.words)
        if wanted.words.isdecimal() and len(wanted.words) < 9:
            said |= Q(number=int(wanted.words))
        rows = rows.filter(said)
    if wanted.after:
        rows = rows.filter(number__gt=wanted.after)
    return rows


def active_link() -> QuerySet[PhotographFinding]:
    """Return the links of the photograph of an outer query."""
    rows: QuerySet[PhotographFinding] = PhotographFinding.objects.active().filter(
        photograph=OuterRef("pk"), finding__voided_at=None
    )
    return rows


def photographs_for_packet(case: Case) -> list[PacketPhotograph]:
    """Return all photographs with findings, file and digest, in three statements."""
    made = DerivedImage.objects.filter(kind="screen", photograph__in=_standing(case).values("pk"))
    screens = {one.photograph_id: one.file.path for one in made.select_related("file")}
    return [
        PacketPhotograph(
            photograph=photograph,
            findings=[link.finding for link in photograph.active_links],
            path=photograph.file.path,
            sha256=photograph.file.sha256,
            size_bytes=photograph.file.size_bytes,
            media_type=photograph.file.media_type,
            screen_path=screens.get(photograph.pk, ""),
        )
        for photograph in _standing(case)
    ]


def photograph_of(case: Case, photograph_id: UUID) -> Photograph:
    """Return a photograph of the case, also a withdrawn one. Raises NotKnown."""
    photograph = (
        Photograph.objects.filter(case=case, pk=photograph_id)
        .select_related("item", "file", "created_by")
        .prefetch_related(_links())
        .first()
    )
    return known(photograph, "photograph")


def photograph_for_update(case: Case, photograph_id: UUID) -> Photograph:
    """Return a photograph of the case, locked. Raises NotKnown."""
    photograph: Photograph | None = (
        Photograph.objects.select_for_update(of=("self",))
        .select_related("item", "file")
        .filter(case=case, pk=photograph_id)
        .first()
    )
    return known(photograph, "photograph")


def photograph_to_copy(photograph_id: UUID) -> Photograph | None:
    """Return a photograph with its file and who added it, for a job; None where it is gone."""
    rows = Photograph.objects.select_related("file", "created_by")
    return rows.filter(pk=photograph_id).first()


def photograph_with_digest(case: Case, sha256: str) -> Photograph | None:
    """Return the active photograph of the case that holds these bytes, or None."""
    found: Photograph | None = (
        Photograph.objects.active().filter(case=case, file__sha256=sha256).first()
    )
    return found


def link_of(photograph: Photograph, link_id: UUID) -> PhotographFinding:
    """Return an active link of a photograph. Raises NotKnown."""
    link: PhotographFinding | None = (
        photograph.finding_links.active().filter(pk=link_id).select_related("finding").first()
    )
    return known(link, "link")


def looks_at(photograph: Photograph, *, most: int = 8) -> list[AccessEvent]:
    """Return who looked at a photograph or fetched its original, the latest first."""
    rows = AccessEvent.objects.filter(case_id=photograph.case_id, record_id=str(photograph.pk))
    return list(rows.order_by("-id")[:most])


def neighbors(case: Case, number: int) -> tuple[Photograph | None, Photograph | None]:
    """Return the photographs before and after a number, by number."""
    rows = Photograph.objects.active().filter(case=case)
    before = rows.filter(number__lt=number).order_by("-number").first()
    after = rows.filter(number__gt=number).order_by("number").first()
    return before, after


def file_of(photograph: Photograph, kind: str) -> StoredFile | None:
    """Return the original or a smaller copy (thumb, screen); None while there is none."""
    if kind == "original":
        return photograph.file
    copy = DerivedImage.objects.filter(photograph=photograph, kind=kind).select_related("file")
    made = copy.first()
    return made.file if made else None


def tiles_of(case: Case, photograph_id: UUID) -> StoredFile | None:
    """Return the file that holds a photograph's tiles; None while there is none."""
    made = (
        DerivedImage.objects.filter(photograph=photograph_id, photograph__case=case, kind="tiles")
        .select_related("file")
        .first()
    )
    return made.file if made else None


def photographs_by_number(case: Case, numbers: Iterable[int]) -> list[Photograph]:
    """Return the active photographs of these numbers."""
    return list(_standing(case).filter(number__in=list(numbers)))


def findings_to_link(case: Case) -> list[Finding]:
    """Return the active findings of the case by number."""
    return list(Finding.objects.active().filter(case=case).order_by("number"))


def finding_of(case: Case, finding_id: UUID) -> Finding:
    """Return a finding of the case. Raises NotKnown."""
    finding: Finding | None = Finding.objects.filter(case=case, pk=finding_id).first()
    return known(finding, "finding")


def photographs_of_finding(case: Case, finding: Finding) -> list[Photograph]:
    """Return the active photographs that show a finding, by number."""
    return photograph_log(case, LogFilter(finding_id=finding.pk))
