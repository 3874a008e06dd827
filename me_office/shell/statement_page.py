"""What the office says about medicine and law, in one page: text, place, source."""

from __future__ import annotations

from itertools import groupby

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET

from me_office.statements import statements


@require_GET
def statement_page(request: HttpRequest) -> HttpResponse:
    """Show every registered text under the place where it is read."""
    groups = [
        (where, list(texts)) for where, texts in groupby(statements(), key=lambda one: one.where)
    ]
    count = sum(len(texts) for _, texts in groups)
    return render(request, "shell/statements.html", {"groups": groups, "count": count})
