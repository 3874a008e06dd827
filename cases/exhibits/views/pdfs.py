"""Pages of a set as PDF for the courtroom: asking for one, how far it is, the file."""

from __future__ import annotations

from uuid import UUID

from django.contrib import messages
from django.http import Http404, HttpResponse, HttpResponseBase
from django.shortcuts import redirect, render
from django.views.decorators.http import (
    require_http_methods,
    require_POST,
    require_safe,
)

from cases.access import Act, case_for, may
from cases.course import case_frame
from cases.exhibits import actions, queries
from cases.exhibits.forms import PdfForm
from cases.exhibits.models import ExhibitSet
from cases.exhibits.views.sets import PREPARE, STEP
from cases.models import Case
from cases.views.parts import part_of
from evidence.store.serving import hand_over
from me_office.accounts.requests import StaffRequest
from me_office.jobs.forms import tried_again
from me_office.shell.forms import answer_form, submitted


def _made(shown: ExhibitSet) -> dict[str, object]:
    """What the list of PDFs needs; while one is made it asks for itself again."""
    exhibits = queries.exhibits_to_present(shown)
    pdfs = queries.pdfs_of(shown, exhibits)
    return {
        "exhibit_set": shown,
        "exhibits": exhibits,
        "pdfs": pdfs,
        "under_way": any(one.is_under_way for one in pdfs),
    }


@require_http_methods(["GET", "POST"])
def pdfs(request: StaffRequest, case_id: UUID, set_id: UUID) -> HttpResponse:
    """Show the PDFs of a set, and ask for one."""
    frame = case_frame(request.user, case_id, current=STEP)
    shown = queries.set_of(frame.case, set_id)
    form = PdfForm(request.POST or None)
    asked = submitted(request, form, actions.request_exhibit_pdf, case_id=case_id, set_id=set_id)
    if asked:
        messages.info(request, "The PDF is being made.")
        return redirect("exhibits:pdfs", case_id=case_id, set_id=set_id)
    context = {
        "frame": frame,
        "case_id": case_id,
        "may_prepare": may(request.user, PREPARE, frame.case),
        **_made(shown),
    }
    return answer_form(request, "exhibits/pdfs.html", context, form)


@part_of("exhibits:pdfs", "set_id")
def pdf_list(request: StaffRequest, case: Case, set_id: UUID) -> HttpResponse:
    """Answer with the list as it stands, for the page that waits for one."""
    context = {
        "case_id": case.pk,
        "may_prepare": may(request.user, PREPARE, case),
        **_made(queries.set_of(case, set_id)),
    }
    return render(request, "exhibits/_pdfs.html", context)


@require_POST
def retry(request: StaffRequest, case_id: UUID, set_id: UUID, request_id: UUID) -> HttpResponse:
    """Try again to make a PDF that was not made, or leave it."""
    retry, leave = actions.retry_exhibit_pdf, actions.abandon_exhibit_pdf
    tried_again(request, retry, leave, case_id=case_id, request_id=request_id)
    return redirect("exhibits:pdfs", case_id=case_id, set_id=set_id)


@require_safe
def pdf(request: StaffRequest, case_id: UUID, request_id: UUID) -> HttpResponseBase:
    """Send a PDF, or a part of it; that it was fetched is noted."""
    case = case_for(request.user, Act.SEE, case_id)
    shown = queries.pdf_of(case, request_id)
    if shown.file is None:
        raise Http404
    return hand_over(
        request, shown.file, case_id=case.pk, record_id=shown.pk, what="exhibits as PDF",
        filename="exhibits.pdf",  # without the case's number: it leaves the office so
    )  # fmt: skip
