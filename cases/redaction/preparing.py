"""From what was chosen on a page to marks, and from marks to the copy in which they are gone."""

from __future__ import annotations

import io
from collections.abc import Mapping, Sequence
from typing import Any
from uuid import UUID

from cases.access import Act, case_for
from cases.court.models import RecordsRequest
from cases.court.queries import request_of
from cases.redaction import actions, queries, reading
from cases.redaction.actions import Made, Placed
from cases.redaction.models import DocumentRedaction, RedactedDocument, RedactionMark
from cases.redaction.pdf import limits
from cases.redaction.rules import MOST_AT_ONCE, Chosen, MarkKind, WrongMark, read_boxes
from cases.redaction.sources import source_in
from evidence import store
from evidence.store.uploads import taken_in
from me_office.accounts.models import Staff
from me_office.audit.errors import Refused
from me_office.entries import Entry
from me_office.jobs.actions import note_progress
from me_office.jobs.running import Stage

MEDIA_TYPE = "application/pdf"


def open_source(
    actor: Staff,
    *,
    case_id: UUID,
    record_id: UUID,
    kind: str,
    key: UUID,
    for_request: UUID | None = None,
) -> DocumentRedaction:
    """Begin to redact a document of the case. Raises NotKnown, NotAllowed, Refused, Conflict."""
    case = case_for(actor, Act.REDACT_DOCUMENTS, case_id)
    source = source_in(case, kind, key)
    if source.file is None:
        raise Refused("This document has no file that is kept.")
    pages = reading.pages_of(reading.whole_content_of(source.file))
    return actions.open_document_redaction(
        actor,
        case_id=case_id,
        record_id=record_id,
        source=source,
        pages=pages,
        request=_request(case_id, for_request),
    )


def add_document(
    actor: Staff,
    *,
    case_id: UUID,
    record_id: UUID,
    name: str,
    upload: Any,
    for_request: UUID | None = None,
) -> DocumentRedaction:
    """Keep a PDF that is to go out redacted. Raises NotKnown, NotAllowed, Refused, Conflict."""
    case_for(actor, Act.REDACT_DOCUMENTS, case_id)
    if (upload.size or 0) > limits.MOST_SENT_BYTES:
        raise Refused(limits.TOO_LARGE_TO_SEND, field="upload")
    try:
        pages = reading.pages_of(upload)
    except Refused as error:
        raise Refused(str(error), field="upload") from error
    upload.seek(0)
    with taken_in(upload, MEDIA_TYPE) as incoming:
        return actions.add_document_to_redact(
            actor,
            case_id=case_id,
            record_id=record_id,
            incoming=incoming,
            pages=pages,
            name=name,
            request=_request(case_id, for_request),
        )


def _request(case_id: UUID, key: UUID | None) -> RecordsRequest | None:
    return request_of(case_id, key) if key else None


def mark(
    actor: Staff,
    *,
    case_id: UUID,
    document_id: UUID,
    entries: Sequence[Mapping[str, Any]],
    why: UUID,
) -> list[RedactionMark]:
    """Mark places as they were chosen: words by their first and last character, or boxes.

    What words say and where they lie is read from the document, whatever was sent.
    Raises NotKnown, NotAllowed, Refused, Conflict.
    """
    case = case_for(actor, Act.REDACT_DOCUMENTS, case_id)
    document = queries.document_of(case, document_id)
    if len(entries) > MOST_AT_ONCE:
        raise Refused(f"Up to {MOST_AT_ONCE} places are marked at once.", field="marks")
    asked = [
        {"page": one["page"], "first": one["first"], "last": one["last"]}
        for one in entries
        if one.get("first") is not None and one.get("last") is not None
    ]
    found = iter(reading.places_of(document.file, asked) if asked else ())
    placed = []
    for one in entries:
        try:
            chosen = _words(next(found)) if _is_words(one) else _area(one)
        except WrongMark as error:
            raise Refused(str(error), field="marks") from error
        placed.append(Placed(UUID(str(one["id"])), chosen))
    marked = actions.mark_for_redaction(
        actor, case_id=case_id, document_id=document_id, marks=placed, why_id=why
    )
    return queries.marks_by_key(marked, [one.key for one in placed])


def _is_words(entry: Entry) -> bool:
    return entry.get("first") is not None and entry.get("last") is not None


def _words(place: Mapping[str, Any]) -> Chosen:
    if not place["boxes"]:
        raise WrongMark("Nothing can be read there. Draw an area instead.")
    boxes = tuple((box[0], box[1], box[2], box[3]) for box in place["boxes"])
    return Chosen(
        place["page"], MarkKind.WORDS, boxes, place["words"], place["first"], place["last"]
    )


def _area(entry: Entry) -> Chosen:
    return Chosen(int(entry["page"]), MarkKind.AREA, read_boxes(entry.get("boxes")))


def void_marks(
    actor: Staff,
    *,
    case_id: UUID,
    document_id: UUID,
    marks: Sequence[Mapping[str, Any]],
    reason: str,
) -> DocumentRedaction:
    """Take marks back, each with the version that was read.

    Raises NotKnown, NotAllowed, StaleRecord, Refused.
    """
    versions = {UUID(str(one["id"])): int(one["version"]) for one in marks}
    return actions.void_redaction_marks(
        actor, case_id=case_id, document_id=document_id, marks=versions, reason=reason
    )


def make(asked: RedactedDocument, *, reached: Stage = lambda stage: None) -> RedactedDocument:
    """Make the copy that was asked for, look through it and keep it, by one action at the end.

    Raises OfficeError.
    """
    reached("read")
    document = asked.document
    content = reading.whole_content_of(document.file)
    note_progress(asked.pk, percent=10, step="burns what is hidden into its pages")
    reached("burn")
    said, copy = reading.ask(content, "burn", marks=asked.marks, name=document.name)
    note_progress(asked.pk, percent=85, step="puts the copy into the store")
    with store.receive(io.BytesIO(copy), name="redacted.pdf") as incoming:
        reached("publish")
        return actions.finish_redacted_document(
            asked.created_by,
            request_id=asked.pk,
            attempt=asked.attempts,
            made=Made(
                file=incoming.recognized(media_type=MEDIA_TYPE),
                pages=said["pages"],
                checked=said["checked"],
                elsewhere=said["elsewhere"],
                software=said["software"],
                source_sha256=document.file.sha256,
            ),
        )
