"""What the office says about medicine and law, in one page: text, place, source."""

from __future__ import annotations

from itertools import groupby

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET

from me_office.statements import by_place


@require_GET
def statement_page(request: HttpRequest) -> HttpResponse:
    """Show every registered text under the place where it is read, and beside its source."""
    groups = [
        (where, [(source, list(of_it)) for source, of_it in groupby(texts, lambda one: one.source)])
        for where, texts in by_place().items()
    ]
    count = sum(len(texts) for _, sources in groups for _, texts in sources)
    return render(request, "shell/statements.html", {"groups": groups, "count": count})
