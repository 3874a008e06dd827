"""A list sent as CSV, row by row; it is noted with its rows and its filter."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from django.http import StreamingHttpResponse
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
