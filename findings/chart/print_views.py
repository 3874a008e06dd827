"""The body chart on paper: a page that prints, and a PDF."""

from __future__ import annotations

from uuid import UUID

from django.conf import settings
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.safestring import mark_safe
from django.views.decorators.http import require_GET

from cases.course import CaseFrame, case_frame
from findings import queries
from findings.chart.sheets import Heading, Sheet, chart_pdf, sheets_of
from me_office.accounts.requests import StaffRequest
from me_office.audit.actions import note_access
from me_office.shell.exports import shown_pdf


def _sheets(request: StaffRequest, frame: CaseFrame, *, standalone: bool) -> list[Sheet] | None:
    examination = queries.examination_of(frame.case)
    if examination is None:
        return None
    return sheets_of(
        examination,
        queries.findings_of(frame.case),
        every=request.GET.get("views") == "all",
        standalone=standalone,
    )


@require_GET
def print_views(request: StaffRequest, case_id: UUID) -> HttpResponse:
    """Every view that holds a mark, with its legend, ready to be printed."""
    frame = case_frame(request.user, case_id, current="examination")
    sheets = _sheets(request, frame, standalone=False)
    if sheets is None:
        return redirect("findings:examination", case_id=case_id)
    # The drawing is our own and escapes what it is given.
    drawn = [(sheet, mark_safe(sheet.svg)) for sheet in sheets]  # noqa: S308
    context = {"frame": frame, "drawn": drawn, "every": request.GET.get("views") == "all"}
    return render(request, "findings/chart_print.html", context)


@require_GET
def pdf(request: StaffRequest, case_id: UUID) -> HttpResponse:
    """The same as a PDF; who took it is noted."""
    frame = case_frame(request.user, case_id, current="examination")
    sheets = _sheets(request, frame, standalone=True)
    if sheets is None:
        return redirect("findings:examination", case_id=case_id)
    now = timezone.localtime()
    heading = Heading(
        office=settings.OFFICE_NAME,
        case_line=f"{settings.OFFICE_NAME} · {frame.case.label} · {frame.decedent.full_name}",
        state="signed" if frame.case.is_locked else "not signed",
        printed=f"Printed {now:%Y-%m-%d %H:%M %Z} by {request.user.printed_name}",
        at=now,
    )
    note_access(request.user, case_id=frame.case.pk, what="body chart, PDF")
    return shown_pdf(chart_pdf(heading, sheets), f"{frame.case.label}-body-chart")
