"""The first page after sign-in: what waits for me."""

from __future__ import annotations

from django.http import HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_GET

from cases import access
from cases.access import Act
from cases.worklists import sections_for
from me_office.accounts.requests import StaffRequest
from me_office.accounts.roles import Role
from me_office.audit import looks


@require_GET
def first_page(request: StaffRequest) -> HttpResponse:
    """Show the sections of the person's roles."""
    now = timezone.now()
    sections = [
        (section, section.rows(request.user, now)) for section in sections_for(request.user)
    ]
    # What waits comes before what is empty.
    sections.sort(key=lambda pair: not pair[1])
    waiting = sum(len(rows) for _, rows in sections)
    if sections:
        looks.note_list(request.user, "worklist", rows=waiting)
    context = {
        "sections": sections,
        "now": now,
        "may_log_report": access.may_somewhere(request.user, Act.REPORT),
        "may_keep_accounts": request.user.has_role(Role.ADMINISTRATOR),
        "works_on_cases": request.user.works_on_cases,
        "may_see_measures": access.may_somewhere(request.user, Act.SEE_MEASURES),
        "may_handle_requests": access.may_somewhere(request.user, Act.HANDLE_REQUEST),
    }
    return render(request, "cases/first_page.html", context)
