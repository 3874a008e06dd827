"""Reads of redacted documents: what is hidden, which copy may go out, and why one may not.

For other rooms: `copies_of(sources)` and `stale(sources)`; both ask a fixed number of statements.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any
from uuid import UUID

from django.db.models import Count, Prefetch, Q, QuerySet

from cases.court.models import RecordsRequest
from cases.models import Case
from cases.queries import locked_after_case
from cases.redaction.models import (
    DocumentRedaction,
    RedactedDocument,
    RedactionMark,
    RedactionReason,
)
from cases.redaction.sources import Source
from evidence.store.models import StoredFile
from me_office.audit.errors import NotKnown, known, known_of_office
from me_office.jobs.queries import with_progress
from me_office.jobs.rules import UNDER_WAY, JobState

CHANGED = "The document has changed since it was redacted. Redact the new one."
NO_MARKS = "Nothing is marked in it yet."
NOT_ASKED = "It is marked, and no copy was made."
UNDER_WAY_WORDS = "Its redacted copy is being made."
NOT_MADE = "Its redacted copy could not be made."
MARKED_SINCE = "Marks were changed since the copy was made. Make it again."
EARLIER_WAY = "Its copy was made in an earlier way, which is no longer used. Make it again."
WAITS = "Words that are hidden in it can still be read elsewhere: decide about them first."


@dataclass(frozen=True)
class BurnedCopy:
    """A redacted copy that may go out in place of its document.

    `path`, `sha256` and `size_bytes` are those of its stored `file`; `redactions` says how many
    places are hidden, `codes` by which reasons: code, words and citation, each once.
    """

    document_id: UUID
    copy_id: UUID
    file: StoredFile
    pages: int
    redactions: int
    codes: tuple[tuple[str, str, str], ...]
    # Why words that it hides were left where they can still be read in it.
    left_why: str = ""

    @property
    def path(self) -> str:
        """Where the store has it."""
        return self.file.path

    @property
    def sha256(self) -> str:
        """Its digest."""
        return self.file.sha256

    @property
    def size_bytes(self) -> int:
        """Its size."""
        return self.file.size_bytes


@dataclass(frozen=True)
class Standing:
    """How the redaction of a document stands: its copy, or why there is none to send."""

    document: DocumentRedaction
    copy: BurnedCopy | None
    why_not: str = ""
    # The digest of all that is marked in it, for the request or for all; empty for no mark.
    marked: str = ""


def copies_of(
    sources: Iterable[Source], *, request: RecordsRequest | None = None
) -> dict[Source, BurnedCopy]:
    """Return, by document, the redacted copy that goes out in its place; three statements.

    A document without a redaction is left out, and so is one whose copy may not go out as it
    stands: those `stale` names with the reason. A redaction made for `request` comes before one
    that holds for all.
    """
    standing = standing_of(sources, request=request)
    return {source: one.copy for source, one in standing.items() if one.copy is not None}


def stale(sources: Iterable[Source], *, request: RecordsRequest | None = None) -> dict[Source, str]:
    """Return the documents that were to be redacted and have no copy to send, each with why.

    Whoever sends documents asks this too: such a document goes out neither way. Three statements.
    """
    standing = standing_of(sources, request=request)
    return {source: one.why_not for source, one in standing.items() if one.copy is None}


def standing_of(
    sources: Iterable[Source], *, request: RecordsRequest | None = None
) -> dict[Source, Standing]:
    """Return how the redaction of each document stands, of those that have one."""
    wanted = list(sources)
    if not wanted:
        return {}
    rows = DocumentRedaction.objects.active().filter(
        source_key__in={one.key for one in wanted},
        source_kind__in={one.kind for one in wanted},
    )
    rows = rows.filter(Q(request=None) | Q(request=request)) if request else rows.filter(
        request=None
    )  # fmt: skip
    there: dict[tuple[str, UUID], list[DocumentRedaction]] = {}
    for one in _with_copies(rows):
        there.setdefault((one.source_kind, one.source_key), []).append(one)
    return {
        source: _standing(source, there[(source.kind, source.key)])
        for source in wanted
        if (source.kind, source.key) in there
    }


def _standing(source: Source, documents: Sequence[DocumentRedaction]) -> Standing:
    # Those of the request first, and of the bytes that would go out.
    ordered = sorted(
        documents,
        key=lambda one: (one.file.sha256 == source.sha256, one.request_id is not None),
        reverse=True,
    )
    chosen = ordered[0]
    marked = _marked(documents)
    if chosen.file.sha256 != source.sha256:
        return Standing(chosen, None, CHANGED, marked)
    copy = copy_to_send(chosen)
    if copy is None:
        return Standing(chosen, None, why_no_copy(chosen), marked)
    return Standing(chosen, as_burned(copy), marked=marked)


def _marked(documents: Sequence[DocumentRedaction]) -> str:
    """Return the digest of every mark in a document, whichever version of it was marked."""
    choices = sorted(choice_of(one) for one in documents if one.standing_marks)
    return hashlib.sha256("".join(choices).encode()).hexdigest() if choices else ""


def _codes(copy: RedactedDocument) -> set[tuple[str, str, str]]:
    return {(one["number"], one["reason"], one["citation"]) for one in copy.marks}


def codes_in(case_id: UUID, file: StoredFile) -> set[tuple[str, str, str]]:
    """Return what is printed on the bars of a redacted copy: code, reason and citation."""
    copies = RedactedDocument.objects.filter(case=case_id, file=file)
    return {code for copy in copies for code in _codes(copy)}


def as_burned(copy: RedactedDocument) -> BurnedCopy:
    """Return a made copy as other rooms take it."""
    codes = _codes(copy)
    if copy.file is None:
        raise NotKnown("This copy is not made.")
    return BurnedCopy(
        copy.document_id, copy.pk, copy.file, copy.pages or 0, len(copy.marks),
        tuple(sorted(codes)), copy.left_why,
    )  # fmt: skip


def copy_to_send(document: DocumentRedaction) -> RedactedDocument | None:
    """Return the copy that shows what is marked now and may go out; None where there is none.

    No statement, for a document as `documents_of` or `standing_of` reads it.
    """
    now = choice_of(document)
    fits = (one for one in document.made_copies if one.choice_sha256 == now and one.may_go_out)
    return next(fits, None) if document.standing_marks else None


def why_no_copy(document: DocumentRedaction) -> str:
    """Say why a document that is being redacted has no copy to send."""
    if not document.standing_marks:
        return NO_MARKS
    now = choice_of(document)
    same = [one for one in document.made_copies if one.choice_sha256 == now]
    if not same:
        return MARKED_SINCE if document.made_copies else NOT_ASKED
    latest = same[0]
    if latest.is_under_way:
        return UNDER_WAY_WORDS
    if not latest.is_made:
        return NOT_MADE
    return WAITS if latest.is_of_this_way else EARLIER_WAY


def choice_of(document: DocumentRedaction) -> str:
    """Return the digest of what is marked now."""
    return document.choice_sha256


def as_entries(marks: Iterable[RedactionMark]) -> list[dict[str, Any]]:
    """Return marks as a copy keeps them."""
    return [one.as_entry for one in marks]


def marks_by_key(document: DocumentRedaction, keys: Iterable[UUID]) -> list[RedactionMark]:
    """Return these marks of a document, in the order of its pages."""
    rows = RedactionMark.objects.filter(document=document, pk__in=list(keys))
    return list(rows.select_related("why", "created_by"))


def _with_copies(rows: QuerySet[DocumentRedaction]) -> list[DocumentRedaction]:
    marks: Prefetch[str, QuerySet[RedactionMark], str] = Prefetch(
        "marks",
        RedactionMark.objects.active().select_related("why", "created_by"),
        to_attr="standing_marks",
    )
    copies: Prefetch[str, QuerySet[RedactedDocument], str] = Prefetch(
        "copies",
        RedactedDocument.objects.active()
        .select_related("file", "left_by", "created_by")
        .order_by("-created_at", "-id"),
        to_attr="made_copies",
    )
    read = rows.select_related("file", "request", "created_by", "case")
    return list(read.prefetch_related(marks, copies).order_by("created_at", "id"))


def documents_of(case: Case) -> list[DocumentRedaction]:
    """Return the documents of a case that are being redacted, with marks and copies."""
    return _with_copies(DocumentRedaction.objects.active().filter(case=case))


def document_of(case: Case, document_id: UUID) -> DocumentRedaction:
    """Return one document that is being redacted, with its marks and copies. Raises NotKnown."""
    rows = _with_copies(DocumentRedaction.objects.filter(case=case, pk=document_id))
    return known(rows[0] if rows else None, "redaction of a document")


def document_for_update(case: Case, document_id: UUID) -> DocumentRedaction:
    """Return a document that is being redacted, locked. Raises NotKnown."""
    rows = DocumentRedaction.objects.select_for_update(of=("self",)).select_related("file")
    found = rows.filter(case=case, pk=document_id).first()
    return known(found, "redaction of a document")


def standing_documents(
    source: Source, request: RecordsRequest | None
) -> QuerySet[DocumentRedaction]:
    """Return the redactions of these very bytes that stand for a request, or for all."""
    return DocumentRedaction.objects.active().filter(
        source_kind=source.kind, source_key=source.key, file__sha256=source.sha256, request=request
    )


def marks_on(document: DocumentRedaction) -> list[RedactionMark]:
    """Return the marks that stand, in the order of the pages; one statement."""
    rows = RedactionMark.objects.active().filter(document=document)
    return list(
        rows.select_related("why", "created_by").order_by("page", "first", "created_at", "id")
    )


def mark_of(case: Case, mark_id: UUID) -> RedactionMark:
    """Return a mark of the case. Raises NotKnown."""
    rows = RedactionMark.objects.filter(case=case, pk=mark_id)
    return known(rows.select_related("why", "document__file", "created_by").first(), "mark")


def marks_for_update(document: DocumentRedaction, keys: Iterable[UUID]) -> list[RedactionMark]:
    """Return marks of a document, locked in the order of their keys. Raises NotKnown."""
    wanted = sorted(set(keys))
    rows = RedactionMark.objects.select_for_update(of=("self",)).select_related("why")
    found = list(rows.filter(document=document, pk__in=wanted).order_by("pk"))
    if len(found) != len(wanted):
        raise NotKnown("There is no such mark in this document.")
    return found


def count_of_marks(document: DocumentRedaction) -> int:
    """Return how many marks stand in a document."""
    return RedactionMark.objects.active().filter(document=document).count()


def reasons() -> list[RedactionReason]:
    """Return the office's reasons that stand, by code: 2 before 10; one statement."""
    rows = RedactionReason.objects.active().select_related("changed_by")
    return sorted(rows, key=lambda one: _in_order(one.number))


def _in_order(code: str) -> tuple[int, str]:
    digits = "".join(one for one in code if one.isdigit())
    leading = code[: len(digits)] == digits and digits
    return (int(digits) if leading else 10**9, code)


def reasons_with_use() -> list[RedactionReason]:
    """Return the reasons that stand, each with how many marks name it; one statement."""
    used = Count("marks", filter=Q(marks__voided_at=None))
    rows = RedactionReason.objects.active().select_related("changed_by").annotate(used=used)
    return sorted(rows, key=lambda one: _in_order(one.number))


def reason_of(reason_id: UUID) -> RedactionReason:
    """Return a reason of the office's list. Raises NotKnown."""
    return known_of_office(RedactionReason.objects.filter(pk=reason_id).first(), "reason")


def history_of_reasons() -> list[RedactionReason]:
    """Return the reasons that were withdrawn, the latest first."""
    rows = RedactionReason.objects.exclude(voided_at=None).select_related("voided_by")
    return list(rows.order_by("-voided_at", "-id")[:200])


def copy_for_update(copy_id: UUID, *, case: Case | None = None) -> RedactedDocument:
    """Return a copy that was asked for, locked after its case. Raises NotKnown."""
    rows = RedactedDocument.objects.filter(pk=copy_id)
    rows = rows.select_related("case", "document__file", "created_by")
    return locked_after_case(rows, "redacted document", case=case)


def copy_of(case: Case, copy_id: UUID) -> RedactedDocument:
    """Return a copy of the case with how far it is. Raises NotKnown."""
    rows = with_progress(RedactedDocument.objects.filter(case=case, pk=copy_id))
    rows = rows.select_related("document", "file", "created_by", "left_by")
    found: RedactedDocument = known(rows.first(), "redacted document")
    return found


def copies_in(document: DocumentRedaction) -> list[RedactedDocument]:
    """Return the copies of a document, the latest first, with how far each is; one statement."""
    rows = RedactedDocument.objects.active().filter(document=document)
    rows = rows.select_related("file", "created_by", "left_by")
    return list(with_progress(rows).order_by("-created_at", "-id")[:50])


def copies_under_way(document: DocumentRedaction) -> bool:
    """Tell whether a copy of it is being made."""
    rows = RedactedDocument.objects.active().filter(document=document, state__in=UNDER_WAY)
    return rows.exists()


def waits_for_copy(case_id: UUID) -> bool:
    """Tell whether a redacted document is asked for and not kept yet."""
    rows = RedactedDocument.objects.active().filter(case=case_id)
    return rows.exclude(state=JobState.MADE.value).exists()
