"""API of redacting documents: the same actions as the pages."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any
from uuid import UUID

from rest_framework import serializers
from rest_framework.parsers import MultiPartParser

from cases.access import Act, case_for, require_role
from cases.api.shared import CASE, seen, unnoted
from cases.models import Case
from cases.redaction import actions, preparing, queries
from cases.redaction.models import (
    DocumentRedaction,
    RedactedDocument,
    RedactionMark,
    RedactionReason,
)
from cases.redaction.sources import Source, sources_in
from me_office.accounts.models import Staff
from me_office.shell.endpoints import adds, asks_for, at, changes, lists, reads, tells
from me_office.shell.shapes import NewShape, ReadShape, ReasonShape, sent_shape, shape_of

DOCUMENT = f"{CASE}/redacted-documents/<uuid:document_id>"
COPY = f"{CASE}/document-copies/<uuid:copy_id>"


@dataclass(frozen=True)
class Listed:
    """A document that may go out, and how its redaction for all requests stands."""

    kind: str
    key: UUID
    name: str
    sha256: str
    redaction: UUID | None
    copy: UUID | None
    why_not: str


class SourceOutput(serializers.Serializer[Any]):
    """A document that may go out; `why_not` says why one that is redacted has no copy to send."""

    kind = serializers.CharField(read_only=True)
    key = serializers.UUIDField(read_only=True)
    name = serializers.CharField(read_only=True)
    sha256 = serializers.CharField(read_only=True)
    redaction = serializers.UUIDField(read_only=True, allow_null=True)
    copy = serializers.UUIDField(read_only=True, allow_null=True)
    why_not = serializers.CharField(read_only=True)


class RedactionOpening(NewShape):
    """A document of the case, by kind and key; `for_request` where it is for one request alone."""

    kind = serializers.CharField(max_length=24)
    key = serializers.UUIDField()
    for_request = serializers.UUIDField(required=False, allow_null=True, default=None)


class AddedDocumentInput(NewShape):
    """A PDF that is to go out redacted, sent as multipart/form-data."""

    name = serializers.CharField(max_length=240)
    upload = serializers.FileField(allow_empty_file=True)
    for_request = serializers.UUIDField(required=False, allow_null=True, default=None)


DocumentRedactionOutput = shape_of(
    "DocumentRedactionOutput", DocumentRedaction,
    ("id", "version", "source_kind", "source_key", "name", "pages", "request", "sha256",
     "choice_sha256", "voided_at"),
    "A document that is being redacted; `choice_sha256` is the digest of what is marked now.",
    sha256=serializers.CharField(source="file.sha256", read_only=True),
    choice_sha256=serializers.CharField(read_only=True),
)  # fmt: skip


class RedactionPlaceInput(NewShape):
    """Words by their first and last character on a page, or boxes of an area."""

    page = serializers.IntegerField(min_value=1)
    first = serializers.IntegerField(min_value=0, required=False)
    last = serializers.IntegerField(min_value=0, required=False)
    boxes = serializers.ListField(
        child=serializers.ListField(
            child=serializers.IntegerField(min_value=0), min_length=4, max_length=4
        ),
        required=False,
        help_text="Left, top, right, bottom in ten-thousandths of the upright page",
    )


class MarksInput(serializers.Serializer[Any]):
    """Places to hide, all for one reason of the office's list."""

    marks = RedactionPlaceInput(many=True)
    why = serializers.UUIDField()


class MarkVersion(NewShape, ReadShape):
    """A mark and the version that was read."""


class MarksTakenBack(serializers.Serializer[Any]):
    """Marks to take back, with the reason."""

    marks = MarkVersion(many=True)
    reason = serializers.CharField()


class MarkReason(ReadShape):
    """Another reason for a mark, with the version that was read."""

    why = serializers.UUIDField()


RedactionMarkOutput = shape_of(
    "RedactionMarkOutput", RedactionMark,
    ("id", "version", "document", "page", "kind", "boxes", "first", "last", "words", "why",
     "voided_at"),
    "A place that is hidden in a document.",
)  # fmt: skip


class CopyInput(NewShape):
    """Asks for the copy; `choice_sha256` is the digest of the marks that were seen."""

    choice_sha256 = serializers.CharField(max_length=64)


class CopyDecision(ReasonShape):
    """Lets hidden words stay where they can still be read, with the reason."""


class CopyRetry(ReadShape):
    """Tries again to make what was asked for."""


RedactedDocumentOutput = shape_of(
    "RedactedDocumentOutput", RedactedDocument,
    ("id", "version", "document", "choice_sha256", "state", "failure", "percent", "step", "pages",
     "checked", "elsewhere", "may_go_out", "left_at", "left_why", "sha256"),
    "A redacted copy, how far it is, and where hidden words can still be read in it.",
    percent=serializers.IntegerField(read_only=True), step=serializers.CharField(read_only=True),
    may_go_out=serializers.BooleanField(read_only=True),
    sha256=serializers.CharField(source="file.sha256", read_only=True, default=None),
)  # fmt: skip
RedactionReasonOutput = shape_of(
    "RedactionReasonOutput", RedactionReason,
    ("id", "version", "number", "words", "citation", "voided_at"),
    "A reason of the office's list; its code is printed on the bar.",
)  # fmt: skip
RedactionReasonInput = sent_shape(
    "RedactionReasonInput", RedactionReason, ("id", "number", "words", "citation"),
    "A new reason for the office's list.",
)  # fmt: skip
RedactionReasonChange = sent_shape(
    "RedactionReasonChange", RedactionReason, ("version", "reason", "number", "words", "citation"),
    "A correction of a reason, with the version that was read and why.",
    reason=serializers.CharField(),
)  # fmt: skip


class ReasonWithdrawal(ReasonShape):
    """Withdraws a record, with the reason."""


def _listed(case: Case) -> list[Listed]:
    sources = sources_in(case)
    standing = queries.standing_of(sources)
    return [_one(source, standing.get(source)) for source in sources]


def _one(source: Source, standing: queries.Standing | None) -> Listed:
    return Listed(
        source.kind, source.key, source.name, source.sha256,
        standing.document.pk if standing else None,
        standing.copy.copy_id if standing and standing.copy else None,
        standing.why_not if standing else "",
    )  # fmt: skip


def _marks(case: Case, document_id: UUID) -> list[RedactionMark]:
    return queries.document_of(case, document_id).standing_marks


def _copies(case: Case, document_id: UUID) -> list[RedactedDocument]:
    return queries.copies_in(queries.document_of(case, document_id))


def _how_far(asked: RedactedDocument) -> RedactedDocument:
    return queries.copy_of(asked.case, asked.pk)


def mark(
    actor: Staff, *, case_id: UUID, document_id: UUID, marks: list[dict[str, Any]], why: UUID
) -> DocumentRedaction:
    """Mark places as `preparing.mark` does; return the document."""
    preparing.mark(actor, case_id=case_id, document_id=document_id, entries=marks, why=why)
    return queries.document_of(case_for(actor, Act.SEE, case_id), document_id)


def _again(document: DocumentRedaction) -> DocumentRedaction:
    return queries.document_of(document.case, document.pk)


def _reasons(actor: Staff) -> list[RedactionReason]:
    require_role(actor, Act.SEE)
    return queries.reasons()


routes = [
    at(f"{CASE}/documents-to-release/", "documents-to-release",
       get=lists("release_documents_list", seen("documents"), _listed, SourceOutput,
           "List the documents that may go out, and how the redaction of each stands.")),
    at(f"{CASE}/redacted-documents/", "redacted-documents",
       get=lists("redacted_documents_list", seen("documents"), queries.documents_of,
           DocumentRedactionOutput, "List the documents that are being redacted."),
       post=adds("redacted_documents_open", preparing.open_source, RedactionOpening,
           DocumentRedactionOutput, "Begin to redact a document that the case holds.")),
    at(f"{CASE}/redacted-documents/files/", "redacted-document-files",
       parsers=[MultiPartParser],
       post=adds("redacted_documents_add", preparing.add_document, AddedDocumentInput,
           DocumentRedactionOutput, "Keep a PDF that is to go out redacted.")),
    at(f"{DOCUMENT}/", "redacted-document",
       get=reads("redacted_documents_read", unnoted, queries.document_of,
           DocumentRedactionOutput, "Return a document that is being redacted.")),
    at(f"{DOCUMENT}/void/", "void-redacted-document",
       post=changes("redacted_documents_void", actions.void_document_redaction, ReasonWithdrawal,
           DocumentRedactionOutput, "Withdraw the redaction of a document, with the reason.")),
    at(f"{DOCUMENT}/marks/", "redaction-marks",
       get=lists("redaction_marks_list", unnoted, _marks, RedactionMarkOutput,
           "List what is hidden in a document."),
       post=changes("redaction_marks_add", mark, MarksInput, DocumentRedactionOutput,
           "Mark places that are to be hidden; words are read from the document itself.")),
    at(f"{DOCUMENT}/marks/take-back/", "redaction-marks-back",
       post=changes("redaction_marks_take_back", preparing.void_marks, MarksTakenBack,
           DocumentRedactionOutput, "Take marks back, with the reason.", shown=_again)),
    at(f"{CASE}/redaction-marks/<uuid:mark_id>/", "redaction-mark",
       patch=changes("redaction_marks_change", actions.change_redaction_mark, MarkReason,
           RedactionMarkOutput, "Give a mark another reason.")),
    at(f"{DOCUMENT}/copies/", "document-copies",
       get=lists("document_copies_list", unnoted, _copies, RedactedDocumentOutput,
           "List the copies of a document, the latest first."),
       post=asks_for("document_copies_ask", actions.request_redacted_document, CopyInput,
           RedactedDocumentOutput,
           "Ask for the copy in which what is marked now is gone; a worker makes it, same id.",
           shown=_how_far)),
    at(f"{COPY}/", "document-copy",
       get=reads("document_copies_read", unnoted, queries.copy_of, RedactedDocumentOutput,
           "Return how far a copy is, and what was found when it was looked through.")),
    at(f"{COPY}/retry/", "retry-document-copy",
       post=changes("document_copies_retry", actions.retry_redacted_document, CopyRetry,
           RedactedDocumentOutput, "Try again to make a copy that was not made.",
           shown=_how_far, keys={"copy_id": "request_id"})),
    at(f"{COPY}/leave/", "leave-document-copy",
       post=changes("document_copies_leave", actions.leave_words_elsewhere, CopyDecision,
           RedactedDocumentOutput,
           "Let hidden words stay where they can still be read in the copy, with the reason.",
           shown=_how_far)),
    at("redaction-reasons/", "redaction-reasons",
       get=tells("redaction_reasons_list", _reasons, RedactionReasonOutput,
           "List the office's reasons for redaction."),
       post=adds("redaction_reasons_add", actions.add_redaction_reason, RedactionReasonInput,
           RedactionReasonOutput, "Add a reason to the list.")),
    at("redaction-reasons/<uuid:reason_id>/", "redaction-reason",
       patch=changes("redaction_reasons_change", actions.change_redaction_reason,
           RedactionReasonChange, RedactionReasonOutput, "Correct a reason of the list.")),
    at("redaction-reasons/<uuid:reason_id>/void/", "void-redaction-reason",
       post=changes("redaction_reasons_void", actions.void_redaction_reason, ReasonWithdrawal,
           RedactionReasonOutput, "Take a reason off the list, with the reason.")),
]  # fmt: skip
