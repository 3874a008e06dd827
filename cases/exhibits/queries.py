"""Reads of exhibit sets, exhibits and redactions."""

from __future__ import annotations

from collections.abc import Sequence
from uuid import UUID

from django.db.models import Count, Prefetch, Q, QuerySet

from cases.exhibits.models import CourtMark, Exhibit, ExhibitSet, Redaction, RedactionRequest
from cases.models import Case
from cases.queries import case_for_update
from evidence.photographs.models import DerivedImage, Photograph, active_links
from evidence.store.models import StoredFile
from findings.models import Finding
from me_office.audit.errors import known
from me_office.jobs.queries import with_progress
from me_office.jobs.rules import JobState


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


def mark_for_update(case: Case, mark_id: UUID) -> CourtMark:
    """Return a mark made in court, locked. Raises NotKnown."""
    rows = CourtMark.objects.select_for_update(of=("self",)).filter(case=case, pk=mark_id)
    found: CourtMark = known(rows.first(), "mark")
    return found


def marks_on(exhibit: Exhibit) -> list[CourtMark]:
    """Return the marks made in court that are kept of an exhibit, in the order of their time."""
    rows = CourtMark.objects.active().filter(exhibit=exhibit)
    return list(rows.select_related("photograph", "created_by").order_by("marked_at", "id"))


def mark_of(case: Case, exhibit_id: UUID, mark_id: UUID) -> CourtMark:
    """Return a kept mark of an exhibit. Raises NotKnown."""
    rows = CourtMark.objects.active().filter(case=case, exhibit=exhibit_id, pk=mark_id)
    found: CourtMark = known(rows.select_related("exhibit").first(), "mark")
    return found


def positions_in(exhibit_set: ExhibitSet) -> list[Exhibit]:
    """Return the active exhibits of a set in their order, locked and bare."""
    rows = Exhibit.objects.active().select_for_update(of=("self",))
    return list(rows.filter(exhibit_set=exhibit_set).order_by("position", "id"))


def _shown(rows: QuerySet[Exhibit]) -> QuerySet[Exhibit]:
    standing = Redaction.objects.active().select_related("file", "screen_file")
    return (
        rows.select_related("photograph__file", "exhibit_set")
        .prefetch_related(
            Prefetch("photograph__finding_links", active_links(), to_attr="active_links")
        )
        .prefetch_related(Prefetch("photograph__redactions", queryset=standing))
    )


def exhibits_of(exhibit_set: ExhibitSet) -> list[Exhibit]:
    """Return the active exhibits in their order; three statements.

    Each photograph has `active_links` (with finding), each exhibit its `redaction`.
    """
    rows = Exhibit.objects.active().filter(exhibit_set=exhibit_set)
    return list(_shown(rows).order_by("position", "id"))


def exhibits_to_present(exhibit_set: ExhibitSet) -> list[Exhibit]:
    """Return what a court is shown: exhibits whose photograph was not withdrawn."""
    return [one for one in exhibits_of(exhibit_set) if not one.photograph.is_voided]


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


def findings_shown(photograph: Photograph) -> list[Finding]:
    """Return the active findings that a photograph shows, by number."""
    return [link.finding for link in active_links().filter(photograph=photograph)]


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
    if case is None:
        case = case_for_update(known(rows.values_list("case_id", flat=True).first(), "request"))
    locked = rows.filter(case=case).select_for_update(of=("self",))
    locked = locked.select_related("case", "photograph", "created_by")
    found: RedactionRequest = known(locked.first(), "request for a redacted copy")
    return found


def redaction_request_to_make(request_id: UUID) -> RedactionRequest | None:
    """Return what was asked for with all that making it needs, or None."""
    rows = RedactionRequest.objects.filter(pk=request_id)
    found: RedactionRequest | None = rows.select_related("photograph__file", "created_by").first()
    return found


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


def picture_of(exhibit: Exhibit, kind: str) -> StoredFile | None:
    """Return what is shown of an exhibit, as thumb, screen or large; None while there is none.

    Where a redaction stands, it is the redacted copy at every size; the original never is.
    """
    redaction = exhibit.redaction
    if redaction is not None:
        return redaction.file if kind == "large" else redaction.screen_file
    if kind == "large":
        return exhibit.photograph.file
    return screen_copy(exhibit.photograph, kind)


def screen_copy(photograph: Photograph, kind: str = "screen") -> StoredFile | None:
    """Return a smaller copy of a photograph; None while there is none."""
    copies = DerivedImage.objects.filter(photograph=photograph, kind=kind)
    made = copies.select_related("file").first()
    return made.file if made else None


def files_to_print(exhibits: Sequence[Exhibit]) -> dict[UUID, StoredFile]:
    """Return the screen copy of each exhibit that has one, redacted where that stands.

    One statement, for exhibits as `exhibits_of` reads them.
    """
    copies = DerivedImage.objects.filter(
        kind="screen", photograph__in=[one.photograph_id for one in exhibits]
    )
    made = {copy.photograph_id: copy.file for copy in copies.select_related("file")}
    files = {}
    for exhibit in exhibits:
        redaction = exhibit.redaction
        file = redaction.screen_file if redaction else made.get(exhibit.photograph_id)
        if file is not None:
            files[exhibit.pk] = file
    return files


def photographs_in(exhibit_set: ExhibitSet) -> frozenset[UUID]:
    """Return the keys of the photographs that are in a set."""
    rows = Exhibit.objects.active().filter(exhibit_set=exhibit_set)
    return frozenset(rows.values_list("photograph_id", flat=True))
