"""Reads of exhibit sets, exhibits and redactions."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, TypeVar
from uuid import UUID

from django.db.models import Count, Model, Prefetch, Q, QuerySet

from cases.exhibits.models import (
    CourtMark,
    Exhibit,
    ExhibitPart,
    ExhibitPdf,
    ExhibitPicture,
    ExhibitRuling,
    ExhibitSet,
    Redaction,
    RedactionRequest,
)
from cases.models import Case
from cases.queries import locked_after_case
from evidence.photographs.models import DerivedImage, Photograph, active_links
from evidence.store.models import StoredFile
from findings.models import Finding
from me_office.audit.errors import known
from me_office.audit.models import AuditEvent
from me_office.jobs.queries import with_progress
from me_office.jobs.rules import UNDER_WAY, JobState

RowT = TypeVar("RowT", bound=Model)
MOST_PDFS = 30


def sets_of(case: Case) -> list[ExhibitSet]:
    """Return the case's sets, the newest first, each with its number of `active_exhibits`."""
    rows: QuerySet[ExhibitSet] = (
        ExhibitSet.objects.active()
        .filter(case=case)
        .annotate(
            active_exhibits=Count("exhibits", filter=Q(exhibits__voided_at=None), distinct=True)
        )
        .order_by("-created_at", "-id")
    )
    return list(rows)


def set_of(case: Case, set_id: UUID) -> ExhibitSet:
    """Return an active set of the case. Raises NotKnown."""
    rows = ExhibitSet.objects.active().filter(case=case, pk=set_id)
    rows = rows.select_related("request", "case")
    found: ExhibitSet = known(rows.first(), "exhibit set")
    return found


def set_for_update(case: Case, set_id: UUID) -> ExhibitSet:
    """Return an active set of the case, locked. Raises NotKnown."""
    rows = ExhibitSet.objects.active().select_for_update(of=("self",))
    found: ExhibitSet = known(rows.filter(case=case, pk=set_id).first(), "exhibit set")
    return found


def exhibit_for_update(case: Case, exhibit_id: UUID) -> Exhibit:
    """Return an exhibit of the case, also a removed one, locked. Raises NotKnown."""
    rows = Exhibit.objects.select_for_update(of=("self",)).select_related("photograph")
    found: Exhibit = known(rows.filter(case=case, pk=exhibit_id).first(), "exhibit")
    return found


def exhibit_with_pictures(case: Case, exhibit_id: UUID) -> Exhibit:
    """Return an exhibit of the case with its pictures, also a removed one. Raises NotKnown."""
    rows = _shown(Exhibit.objects.filter(case=case, pk=exhibit_id))
    found: Exhibit = known(rows.first(), "exhibit")
    return found


def photographs_ever_in(exhibit: Exhibit) -> frozenset[UUID]:
    """Return the keys of the photographs that an exhibit shows or showed at some time.

    Which one led it before is told by the trail alone.
    """
    parts = ExhibitPart.objects.filter(exhibit=exhibit)
    led = AuditEvent.objects.filter(
        table=Exhibit._meta.db_table, record_id=str(exhibit.pk), changes__has_key="photograph_id"
    ).values_list("changes__photograph_id", flat=True)
    keys = {UUID(key) for was_and_is in led for key in was_and_is if key}
    return frozenset(keys.union(parts.values_list("photograph_id", flat=True)))


def mark_for_update(case: Case, mark_id: UUID) -> CourtMark:
    """Return a mark made in court, locked. Raises NotKnown."""
    rows = CourtMark.objects.select_for_update(of=("self",)).filter(case=case, pk=mark_id)
    found: CourtMark = known(rows.first(), "mark")
    return found


def marks_on(exhibit: Exhibit) -> list[CourtMark]:
    """Return the marks made in court that are kept of an exhibit, in the order of their time."""
    rows = CourtMark.objects.active().filter(exhibit=exhibit)
    return list(rows.select_related("photograph", "created_by").order_by("marked_at", "id"))


def mark_of(case: Case, set_id: UUID, exhibit_id: UUID, mark_id: UUID) -> CourtMark:
    """Return a kept mark of an exhibit of a set. Raises NotKnown."""
    rows = CourtMark.objects.active().filter(
        case=case, exhibit=exhibit_id, exhibit__exhibit_set=set_id, pk=mark_id
    )
    found: CourtMark = known(rows.select_related("exhibit").first(), "mark")
    return found


def ruling_for_update(case: Case, ruling_id: UUID) -> ExhibitRuling:
    """Return what was recorded of a ruling, locked. Raises NotKnown."""
    rows = ExhibitRuling.objects.select_for_update(of=("self",)).select_related("exhibit")
    found: ExhibitRuling = known(rows.filter(case=case, pk=ruling_id).first(), "ruling")
    return found


def ruling_of(case: Case, ruling_id: UUID) -> ExhibitRuling:
    """Return an active ruling of the case with its exhibit. Raises NotKnown."""
    rows = ExhibitRuling.objects.active().filter(case=case, pk=ruling_id)
    found: ExhibitRuling = known(rows.select_related("exhibit__exhibit_set").first(), "ruling")
    return found


def rulings_on(case: Case, exhibit_id: UUID) -> list[ExhibitRuling]:
    """Return the active rulings on an exhibit, the latest last. Raises NotKnown."""
    known(Exhibit.objects.filter(case=case, pk=exhibit_id).first(), "exhibit")
    return list(ExhibitRuling.objects.active().filter(exhibit=exhibit_id))


def positions_in(exhibit_set: ExhibitSet) -> list[Exhibit]:
    """Return the active exhibits of a set in their order, locked and bare."""
    rows = Exhibit.objects.active().select_for_update(of=("self",))
    return list(rows.filter(exhibit_set=exhibit_set).order_by("position", "id"))


def _shown(rows: QuerySet[Exhibit]) -> QuerySet[Exhibit]:
    further = ExhibitPart.objects.active().select_related("photograph__file")
    parts = Prefetch("parts", queryset=_with_forms(further))
    rulings = Prefetch("rulings", queryset=ExhibitRuling.objects.active())
    return _with_forms(rows.select_related("photograph__file", "exhibit_set"), parts, rulings)


def _with_forms(rows: QuerySet[RowT], *more: Any) -> QuerySet[RowT]:
    """Read with each `photograph` its findings and the redaction that stands."""
    standing = Redaction.objects.active().select_related("file", "screen_file")
    return rows.prefetch_related(
        *more,
        Prefetch("photograph__finding_links", active_links(), to_attr="active_links"),
        Prefetch("photograph__redactions", queryset=standing),
    )


def exhibits_of(exhibit_set: ExhibitSet) -> list[Exhibit]:
    """Return the active exhibits in their order; five statements, seven where one is a composite.

    Each exhibit has its `pictures`, each of their photographs `active_links` (with finding).
    """
    return exhibits_of_all([exhibit_set])


def exhibits_of_all(exhibit_sets: Sequence[ExhibitSet]) -> list[Exhibit]:
    """Return the active exhibits of sets as `exhibits_of` does; as many statements as for one."""
    rows = Exhibit.objects.active().filter(exhibit_set__in=exhibit_sets)
    return list(_shown(rows).order_by("exhibit_set", "position", "id"))


def exhibits_to_present(exhibit_set: ExhibitSet) -> list[Exhibit]:
    """Return what a court is shown: exhibits of which no photograph was withdrawn."""
    return [one for one in exhibits_of(exhibit_set) if not one.withdrawn]


def exhibit_of(case: Case, set_id: UUID, exhibit_id: UUID) -> Exhibit:
    """Return an active exhibit with its photograph as `exhibits_of` does. Raises NotKnown."""
    rows = Exhibit.objects.active().filter(
        case=case, exhibit_set=set_id, exhibit_set__voided_at=None, pk=exhibit_id
    )
    found: Exhibit = known(_shown(rows).first(), "exhibit")
    return found


def exhibits_showing(case: Case, which: Q) -> list[Exhibit]:
    """Return the active exhibits that are meant, with their sets, the latest set first."""
    rows = Exhibit.objects.active().filter(which, case=case, exhibit_set__voided_at=None)
    return list(
        rows.select_related("exhibit_set")
        .distinct()
        .order_by("-exhibit_set__created_at", "position", "id")
    )


def findings_shown(photographs: Sequence[Photograph]) -> list[Finding]:
    """Return the active findings that photographs show, each once, by number; one statement."""
    links = active_links().filter(photograph__in=photographs)
    return list({link.finding_id: link.finding for link in links}.values())


def photographs_by_number(case: Case, numbers: Sequence[int]) -> dict[int, Photograph]:
    """Return the photographs of the log that have these numbers; one statement."""
    rows = Photograph.objects.filter(case=case, number__in=numbers)
    return {photograph.number: photograph for photograph in rows}


def active_redaction(photograph: Photograph) -> Redaction | None:
    """Return the redaction that stands for a photograph, or None."""
    rows = Redaction.objects.active().filter(photograph=photograph)
    found: Redaction | None = rows.select_related("file", "screen_file").first()
    return found


def redactions_in_force(case: Case) -> dict[UUID, Redaction]:
    """Return the redactions that stand in a case, by photograph; one statement."""
    rows = Redaction.objects.active().filter(case=case, photograph__voided_at=None)
    rows = rows.select_related("photograph", "file", "screen_file", "created_by")
    return {one.photograph_id: one for one in rows.order_by("photograph__number", "id")}


def redaction_for_update(case: Case, redaction_id: UUID) -> Redaction:
    """Return a redaction of the case, locked. Raises NotKnown."""
    rows = Redaction.objects.select_for_update(of=("self",)).select_related("photograph")
    found: Redaction = known(rows.filter(case=case, pk=redaction_id).first(), "redaction")
    return found


def redaction_request_for_update(request_id: UUID, *, case: Case | None = None) -> RedactionRequest:
    """Return what was asked for, locked after its case. Raises NotKnown."""
    rows = RedactionRequest.objects.filter(pk=request_id)
    rows = rows.select_related("case", "photograph", "created_by")
    return locked_after_case(rows, "request for a redacted copy", case=case)


def redaction_request_of(case: Case, request_id: UUID) -> RedactionRequest:
    """Return what was asked for with `percent` and `step`. Raises NotKnown."""
    rows = with_progress(RedactionRequest.objects.filter(case=case, pk=request_id))
    found: RedactionRequest = known(rows.first(), "request for a redacted copy")
    return found


def redactions_asked_for(case: Case) -> list[RedactionRequest]:
    """Return the copies that are being made or were not made, newest first; one statement."""
    rows = RedactionRequest.objects.active().filter(case=case).exclude(state=JobState.MADE.value)
    rows = rows.select_related("photograph", "created_by")
    return list(with_progress(rows).order_by("-created_at", "-id"))


def waits_for_redaction(case_id: UUID) -> bool:
    """Tell whether a redacted copy is asked for and not kept yet; reads no photograph."""
    rows = RedactionRequest.objects.active().filter(case=case_id)
    return rows.exclude(state=JobState.MADE.value).exists()


def photographs_to_be_hidden(case: Case) -> dict[UUID, RedactionRequest]:
    """Return what is asked for and not kept yet, by photograph: until then it is shown whole."""
    return {one.photograph_id: one for one in redactions_asked_for(case)}


def redaction_of(case: Case, redaction_id: UUID) -> Redaction:
    """Return a redaction of the case, also one that was taken back. Raises NotKnown."""
    rows = Redaction.objects.filter(case=case, pk=redaction_id)
    rows = rows.select_related("photograph", "file", "screen_file", "created_by", "voided_by")
    found: Redaction = known(rows.first(), "redaction")
    return found


def redactions_of(case: Case, photograph: Photograph | None = None) -> list[Redaction]:
    """Return every redaction that was ever made, the newest first, in one statement."""
    rows = Redaction.objects.filter(case=case)
    if photograph is not None:
        rows = rows.filter(photograph=photograph)
    rows = rows.select_related("photograph", "file", "created_by", "voided_by")
    return list(rows.order_by("-created_at", "-id"))


def picture_in(exhibit: Exhibit, photograph_id: UUID | None) -> ExhibitPicture:
    """Return the picture of one photograph of an exhibit, without a key the first.

    Raises NotKnown.
    """
    wanted = exhibit.photograph_id if photograph_id is None else photograph_id
    found = (one for one in exhibit.pictures if one.photograph.pk == wanted)
    return known(next(found, None), "photograph")


def picture_of(picture: ExhibitPicture, kind: str) -> StoredFile | None:
    """Return what is shown of a photograph, as thumb, screen or large; None while there is none.

    Where a redaction stands, it is the redacted copy at every size; the original never is.
    """
    redaction = picture.redaction
    if redaction is not None:
        return redaction.file if kind == "large" else redaction.screen_file
    if kind == "large":
        return picture.photograph.file
    return screen_copy(picture.photograph, kind)


def screen_copy(photograph: Photograph, kind: str = "screen") -> StoredFile | None:
    """Return a smaller copy of a photograph; None while there is none."""
    copies = DerivedImage.objects.filter(photograph=photograph, kind=kind)
    made = copies.select_related("file").first()
    return made.file if made else None


def files_to_print(exhibits: Sequence[Exhibit]) -> dict[UUID, StoredFile]:
    """Return the screen copies by photograph, redacted where that stands.

    One statement, for exhibits as `exhibits_of` reads them.
    """
    pictures = [picture for one in exhibits for picture in one.pictures]
    copies = DerivedImage.objects.filter(
        kind="screen", photograph__in=[one.photograph.pk for one in pictures]
    )
    made = {copy.photograph_id: copy.file for copy in copies.select_related("file")}
    files = {}
    for picture in pictures:
        key, redaction = picture.photograph.pk, picture.redaction
        file = redaction.screen_file if redaction else made.get(key)
        if file is not None:
            files[key] = file
    return files


def photographs_in(exhibit_set: ExhibitSet) -> frozenset[UUID]:
    """Return the keys of the photographs that are in a set."""
    rows = Exhibit.objects.active().filter(exhibit_set=exhibit_set)
    return frozenset(rows.values_list("photograph_id", flat=True))


def contents_of(asked: ExhibitPdf, exhibits: Sequence[Exhibit]) -> list[dict[str, Any]]:
    """Return what a PDF of these exhibits shows, page by page: to compare it, and to keep it."""
    pages = []
    for one in exhibits:
        files = [
            each.redaction.file if each.redaction else each.photograph.file for each in one.pictures
        ]
        page: dict[str, Any] = {
            "exhibit": str(one.pk),
            "number": one.number,
            "photographs": [photograph.number for photograph in one.photographs],
            "sha256": [file.sha256 for file in files],
        }
        if asked.with_captions:
            page["caption"] = one.caption
        pages.append(page)
    return pages


def pdfs_of(exhibit_set: ExhibitSet, exhibits: Sequence[Exhibit]) -> list[ExhibitPdf]:
    """Return the PDFs of a set, newest first, with progress, each knowing whether it `is_current`.

    One statement, for exhibits as `exhibits_to_present` reads them.
    """
    rows = ExhibitPdf.objects.active().filter(exhibit_set=exhibit_set)
    told = with_progress(rows.select_related("created_by", "file"))
    found: list[ExhibitPdf] = list(told.order_by("-created_at", "-id")[:MOST_PDFS])
    for one in found:
        one.is_current = one.contents == contents_of(one, exhibits)
    return found


def pdfs_under_way(exhibit_set: ExhibitSet) -> bool:
    """Tell whether a PDF of a set is being made or waits for its turn."""
    rows = ExhibitPdf.objects.active().filter(exhibit_set=exhibit_set, state__in=UNDER_WAY)
    return rows.exists()


def pdf_for_update(request_id: UUID, *, case: Case | None = None) -> ExhibitPdf:
    """Return what was asked for, locked after its case. Raises NotKnown."""
    rows = ExhibitPdf.objects.filter(pk=request_id)
    rows = rows.select_related("case", "exhibit_set", "created_by")
    return locked_after_case(rows, "PDF", case=case)


def pdf_of(case: Case, request_id: UUID) -> ExhibitPdf:
    """Return a PDF of the case with `percent` and `step`. Raises NotKnown."""
    rows = with_progress(ExhibitPdf.objects.filter(case=case, pk=request_id))
    found: ExhibitPdf = known(rows.select_related("exhibit_set", "file").first(), "PDF")
    return found


def pdf_with_standing(case: Case, request_id: UUID) -> ExhibitPdf:
    """Return a PDF of the case as `pdf_of` does, knowing whether it `is_current`.

    Raises NotKnown.
    """
    found = pdf_of(case, request_id)
    stands = found.file_id and not found.exhibit_set.is_voided
    exhibits = exhibits_to_present(found.exhibit_set) if stands else []
    found.is_current = found.contents == contents_of(found, exhibits)
    return found


def pdfs_in(case: Case, set_id: UUID) -> list[ExhibitPdf]:
    """Return the PDFs of a set of the case, newest first. Raises NotKnown."""
    exhibit_set = set_of(case, set_id)
    return pdfs_of(exhibit_set, exhibits_to_present(exhibit_set))
