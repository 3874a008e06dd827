"""What a page sends as a file: a list as CSV, noted with its rows and filter; a document as PDF."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from django.http import HttpResponse, StreamingHttpResponse
from django.utils import timezone

from me_office.accounts.models import Staff
from me_office.audit import looks
from me_office.csv_lines import csv_lines


def exported(
    actor: Staff, what: str, rows: Iterable[list[str]], *, asked: Mapping[str, str], name: str
) -> StreamingHttpResponse:
    """Answer with rows as a file of this name and of today."""
    noted = looks.noted(actor, f"{what}, CSV", rows, asked=asked)
    answer = StreamingHttpResponse(csv_lines(noted), content_type="text/csv; charset=utf-8")
    file = f"{name}-{timezone.localdate().isoformat()}.csv"
    answer["Content-Disposition"] = f'attachment; filename="{file}"'
    return answer


def shown_pdf(pdf: bytes, name: str) -> HttpResponse:
    """Answer with a document that was just printed; the browser shows it, and keeps no copy."""
    answer = HttpResponse(pdf, content_type="application/pdf")
    answer["Content-Disposition"] = f'inline; filename="{name}.pdf"'
    answer["Cache-Control"] = "no-store"
    return answer
