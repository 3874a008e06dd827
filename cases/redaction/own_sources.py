"""Documents of the case file that can be redacted: report, addenda, statements, added ones."""

from __future__ import annotations

from collections.abc import Iterable

from cases.models import Case
from cases.redaction.models import DocumentRedaction
from cases.redaction.sources import Kind, Source, register
from cases.review.models import SignedPdf
from cases.signatures.models import SignedDocument
from cases.statements.models import Statement

REPORT, ADDENDUM, STATEMENT, ADDED = "report", "addendum", "statement", "added"
PDF = "application/pdf"


def _reports(case: Case) -> Iterable[Source]:
    rows = SignedPdf.objects.active().filter(case=case).select_related("file", "draft")
    for one in rows.order_by("draft__number", "id"):
        name = f"Signed report, draft {one.draft.number}"
        yield Source(REPORT, one.pk, one.file.sha256, name, one.file)


def _addenda(case: Case) -> Iterable[Source]:
    rows = SignedDocument.objects.active().filter(case=case, addendum__isnull=False)
    for one in rows.select_related("file", "addendum").order_by("addendum__number", "id"):
        yield Source(ADDENDUM, one.pk, one.file.sha256, one.what, one.file)


def _statements(case: Case) -> Iterable[Source]:
    rows = Statement.objects.active().filter(case=case, file__media_type=PDF)
    for one in rows.select_related("file").order_by("given_on", "id"):
        yield Source(STATEMENT, one.pk, one.file.sha256, str(one), one.file)


def _added(case: Case) -> Iterable[Source]:
    """What somebody added as a PDF, to be redacted; it is listed once, whoever it is for."""
    rows = DocumentRedaction.objects.active().filter(case=case, source_kind=ADDED)
    seen = set()
    for one in rows.select_related("file").order_by("created_at", "id"):
        if one.source_key not in seen:
            seen.add(one.source_key)
            yield Source(ADDED, one.source_key, one.file.sha256, one.name, one.file)


for _kind in (
    Kind(REPORT, "report", _reports),
    Kind(ADDENDUM, "addendum or amendment", _addenda),
    Kind(STATEMENT, "earlier statement", _statements),
    Kind(ADDED, "added document", _added),
):
    register(_kind)
