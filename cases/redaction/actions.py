"""Every change to redactions of documents: opened, marked, copies asked for and kept, reasons."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any
from uuid import UUID

from django.utils import timezone

from cases.access import Act
from cases.actions.entry import (
    case_to_change,
    refuse_voided,
    require_correction,
    require_for_office,
    withdraws,
)
from cases.actions.office import adds_to_office, locked_of_office, withdraws_of_office
from cases.actions.requests import Alike
from cases.court.models import RecordsRequest
from cases.models import Case
from cases.redaction import queries
from cases.redaction.models import (
    DocumentRedaction,
    RedactedDocument,
    RedactionMark,
    RedactionReason,
)
from cases.redaction.rules import (
    MOST_AT_ONCE,
    MOST_MARKS,
    MOST_WORDS,
    Chosen,
    MarkKind,
    digest_of_choice,
    wrong_in_marks,
)
from cases.redaction.sources import Source
from evidence import store
from evidence.store import Incoming
from me_office.accounts.models import Staff
from me_office.audit.actions import action
from me_office.audit.errors import Conflict, Refused
from me_office.audit.fields import set_fields
from me_office.audit.records import (
    VOIDING,
    recorded_before,
    require_reason,
    require_version,
    save_new,
    save_next_version,
    void,
)
from me_office.entries import Entry
from me_office.jobs import actions as jobs

COPY_TASK = "cases.redaction.tasks.make_redacted_document"
REASON_FIELDS = ("number", "words", "citation")
ADDED = "added"
_OFFICES = (
    *("state", "attempts", "failure", "file", "pages", "checked", "elsewhere", "software"),
    *("left_at", "left_by", "left_why", "marks", "choice_sha256"),
)


@dataclass(frozen=True)
class Placed:
    """A place to hide under the key that the client made for it."""

    key: UUID
    chosen: Chosen


@dataclass(frozen=True)
class Made:
    """A redacted copy in the temporary place, and what was found when it was looked through."""

    file: Incoming
    pages: int
    checked: Mapping[str, Any]
    elsewhere: Sequence[Mapping[str, Any]]
    software: str
    source_sha256: str


@action
def open_document_redaction(
    actor: Staff,
    *,
    case_id: UUID,
    record_id: UUID,
    source: Source,
    pages: int,
    request: RecordsRequest | None = None,
    reason: str = "",
) -> DocumentRedaction:
    """Begin to redact a document that the case holds, for all requests or for one.

    `source` is as `sources.source_in` read it. Who opens what is open already gets that one.
    Raises NotKnown, NotAllowed, Refused, Conflict.
    """
    case = case_to_change(actor, Act.REDACT_DOCUMENTS, case_id)
    opened = DocumentRedaction(
        pk=record_id, case=case, source_kind=source.kind, source_key=source.key,
        name=source.name, pages=pages, request=request,
    )  # fmt: skip
    if source.file is None:
        raise Refused("This document has no file that is kept.")
    opened.file = source.file
    there = recorded_before(opened, assigned=(*VOIDING, "name"))
    if there is not None:
        return there
    standing = queries.standing_documents(source, request).select_for_update().first()
    return standing or save_new(actor, opened, own_key=True)


@action
def add_document_to_redact(
    actor: Staff,
    *,
    case_id: UUID,
    record_id: UUID,
    incoming: Incoming,
    pages: int,
    name: str,
    request: RecordsRequest | None = None,
    reason: str = "",
) -> DocumentRedaction:
    """Keep a PDF that is to go out redacted: a printed history, a record that others sent.

    Raises NotKnown, NotAllowed, Refused, Invalid, Conflict.
    """
    case = case_to_change(actor, Act.REDACT_DOCUMENTS, case_id)
    added = DocumentRedaction(
        pk=record_id, case=case, source_kind=ADDED, source_key=record_id, name=name, pages=pages,
        request=request,
    )  # fmt: skip
    there = recorded_before(added, assigned=("file", *VOIDING))
    if there is not None:
        if there.file.sha256 != incoming.sha256:
            raise Conflict("A record with this key has different content.", record=there)
        return there
    with store.kept(incoming) as added.file:
        return save_new(actor, added, own_key=True)


# Its marks and copies go with it: the document goes out as it is, or not at all.
void_document_redaction = withdraws(
    "void_document_redaction", Act.REDACT_DOCUMENTS, queries.document_for_update, key="document_id"
)


@action
def mark_for_redaction(
    actor: Staff,
    *,
    case_id: UUID,
    document_id: UUID,
    marks: Sequence[Placed],
    why_id: UUID,
    reason: str = "",
) -> DocumentRedaction:
    """Mark places of a document that are to be hidden, all for one reason of the office's list.

    Each has its own key, so two people who mark at once lose nothing. Return the document.
    Raises NotKnown, NotAllowed, Refused, Conflict.
    """
    case = case_to_change(actor, Act.REDACT_DOCUMENTS, case_id)
    document = queries.document_for_update(case, document_id)
    why = queries.reason_of(why_id)
    if wrong := wrong_in_marks(document.pages, [one.chosen for one in marks]):
        raise Refused(wrong, field="marks")
    made = [_mark(case, document, why, one) for one in marks]
    new = [one for one in made if recorded_before(one, assigned=VOIDING) is None]
    if new:
        refuse_voided(document)
        _refuse_gone(why)
        if queries.count_of_marks(document) + len(new) > MOST_MARKS:
            raise Refused(f"A document has up to {MOST_MARKS} marks. Cover whole areas instead.")
    for one in new:
        save_new(actor, one, own_key=True)
    return document


def _mark(
    case: Case, document: DocumentRedaction, why: RedactionReason, placed: Placed
) -> RedactionMark:
    chosen = placed.chosen
    return RedactionMark(
        pk=placed.key,
        case=case,
        document=document,
        page=chosen.page,
        kind=chosen.kind.value,
        boxes=[list(box) for box in chosen.boxes],
        first=chosen.first if chosen.kind is MarkKind.WORDS else None,
        last=chosen.last if chosen.kind is MarkKind.WORDS else None,
        words=chosen.words[:MOST_WORDS],
        why=why,
    )


def _refuse_gone(why: RedactionReason) -> None:
    if why.is_voided:
        raise Refused("This reason was withdrawn from the list. Choose another one.", field="why")


@action
def change_redaction_mark(
    actor: Staff, *, case_id: UUID, mark_id: UUID, version: int, why_id: UUID, reason: str = ""
) -> RedactionMark:
    """Give a mark another reason. Raises NotKnown, NotAllowed, StaleRecord, Refused."""
    case = case_to_change(actor, Act.REDACT_DOCUMENTS, case_id)
    mark = queries.mark_of(case, mark_id)
    document = queries.document_for_update(case, mark.document_id)
    (mark,) = queries.marks_for_update(document, [mark_id])
    refuse_voided(document)
    refuse_voided(mark)
    require_version(mark, version)
    why = queries.reason_of(why_id)
    _refuse_gone(why)
    if mark.why_id == why.pk:
        return mark
    mark.why = why
    return save_next_version(actor, mark)


@action
def void_redaction_marks(
    actor: Staff,
    *,
    case_id: UUID,
    document_id: UUID,
    marks: Mapping[UUID, int],
    reason: str,
) -> DocumentRedaction:
    """Take marks back; `marks` holds the version that was read of each, by its key.

    Raises NotKnown, NotAllowed, StaleRecord, Refused.
    """
    case = case_to_change(actor, Act.REDACT_DOCUMENTS, case_id)
    document = queries.document_for_update(case, document_id)
    if not 0 < len(marks) <= MOST_AT_ONCE:
        raise Refused("Choose the marks that are to be taken back.", field="marks")
    for one in queries.marks_for_update(document, marks):
        void(actor, one, version=marks[one.pk], reason=reason)
    return document


@action
def request_redacted_document(
    actor: Staff,
    *,
    case_id: UUID,
    document_id: UUID,
    record_id: UUID,
    choice_sha256: str,
    reason: str = "",
) -> RedactedDocument:
    """Ask for the copy in which everything that is marked now is gone; a worker makes it.

    `choice_sha256` is the digest of the marks that were seen: others marked meanwhile are looked at
    first. Raises NotKnown, NotAllowed, Refused, Conflict.
    """
    case = case_to_change(actor, Act.REDACT_DOCUMENTS, case_id)
    document = queries.document_for_update(case, document_id)
    asked = RedactedDocument(pk=record_id, case=case, document=document)
    there = recorded_before(asked, assigned=(*_OFFICES, *VOIDING))
    if there is not None:
        if there.choice_sha256 != choice_sha256:
            raise Conflict("A record with this key has different content.", record=there)
        return there
    refuse_voided(document)
    asked.marks = queries.as_entries(queries.marks_on(document))
    asked.choice_sha256 = digest_of_choice(document.file.sha256, asked.marks)
    if not asked.marks:
        raise Refused("Nothing is marked in this document yet.")
    if asked.choice_sha256 != choice_sha256:
        raise Refused("Somebody changed the marks meanwhile. Look at them, then ask again.")
    if queries.copies_under_way(document):
        raise Refused("A copy of this document is being made. Wait until it is ready.")
    save_new(actor, asked, own_key=True)
    jobs.send_after_commit(COPY_TASK, asked.pk)
    return asked


@action
def finish_redacted_document(
    actor: Staff, *, request_id: UUID, attempt: int, made: Made, reason: str = ""
) -> RedactedDocument:
    """Keep the copy that was made and looked through; the document is not touched.

    Raises NotAllowed, NotKnown, Refused, TakenOver.
    """
    asked = queries.copy_for_update(request_id)
    case_to_change(actor, Act.REDACT_DOCUMENTS, asked.case_id)
    jobs.require_attempt(asked, attempt)
    refuse_voided(asked.document)
    if made.source_sha256 != asked.document.file.sha256:
        raise Refused("The copy was not made from this document.")
    asked.pages, asked.software = made.pages, made.software
    asked.checked, asked.elsewhere = dict(made.checked), [dict(one) for one in made.elsewhere]
    with store.kept(made.file, folder=store.DERIVED) as asked.file:
        return jobs.finish(actor, asked)


@action
def leave_words_elsewhere(
    actor: Staff, *, case_id: UUID, copy_id: UUID, version: int, reason: str
) -> RedactedDocument:
    """Let a copy go out although words that are hidden in it can still be read elsewhere in it.

    Raises NotKnown, NotAllowed, StaleRecord, Refused.
    """
    case = case_to_change(actor, Act.REDACT_DOCUMENTS, case_id)
    copy = queries.copy_for_update(copy_id, case=case)
    refuse_voided(copy)
    require_version(copy, version)
    if not copy.is_made or not copy.asks:
        raise Refused("Nothing about this copy waits for a decision.")
    copy.left_why = require_reason(reason)
    copy.left_at, copy.left_by = timezone.now(), actor
    return save_next_version(actor, copy)


ATTEMPTS = Alike(
    "redacted_document",
    Act.REDACT_DOCUMENTS,
    COPY_TASK,
    "reads the document",
    queries.copy_for_update,
)
begin_redacted_document, fail_redacted_document = ATTEMPTS.begin, ATTEMPTS.fail
retry_redacted_document, abandon_redacted_document = ATTEMPTS.retry, ATTEMPTS.abandon


add_redaction_reason = adds_to_office(
    "add_redaction_reason", RedactionReason,
    lambda reason, entry: set_fields(reason, entry, REASON_FIELDS), act=Act.KEEP_CLERK_LISTS,
)  # fmt: skip


@action
def change_redaction_reason(
    actor: Staff, *, reason_id: UUID, version: int, entry: Entry, reason: str
) -> RedactionReason:
    """Correct a reason; copies that were made keep the words they had.

    Raises NotAllowed, NotKnown, StaleRecord, Refused, Invalid.
    """
    require_for_office(actor, Act.KEEP_CLERK_LISTS)
    changed = locked_of_office(RedactionReason, reason_id, "reason")
    require_correction(changed, version, reason)
    set_fields(changed, entry, REASON_FIELDS)
    return save_next_version(actor, changed)


# Marks that name it keep it.
void_redaction_reason = withdraws_of_office(
    "void_redaction_reason", RedactionReason, "reason", act=Act.KEEP_CLERK_LISTS, key="reason_id"
)
