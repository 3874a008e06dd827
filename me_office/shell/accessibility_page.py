"""How the office stands to the criteria of accessibility, for anybody."""

from __future__ import annotations

from django.conf import settings
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET

from me_office.shell import criteria


@require_GET
def accessibility_page(request: HttpRequest) -> HttpResponse:
    """Show the statement and its tables; it is open, since it may be needed to get in at all."""
    context = {
        **criteria.table(),
        "tested": criteria.TESTED,
        "not_tested": criteria.NOT_TESTED,
        "not_whole": criteria.not_whole(),
        "office_address": settings.OFFICE_ADDRESS,
    }
    return render(request, "shell/accessibility.html", context)
