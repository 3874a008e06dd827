"""What a photograph shows: linking findings, outlining them on the picture, taking them away."""

from __future__ import annotations

from uuid import UUID

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_POST

from cases.access import Act
from cases.course import case_frame
from cases.models import Case
from cases.views.confirming import confirms
from evidence.items.pages import Withdrawal
from evidence.photographs import actions, queries
from evidence.photographs.forms import LinkForm, OutlineForm, PhotographForm
from evidence.photographs.models import PhotographFinding
from evidence.photographs.views.photographs import PICTURE, one_photograph
from me_office.accounts.requests import StaffRequest
from me_office.shell.forms import submitted


def _page(case_id: UUID, photograph_id: UUID) -> str:
    keys = {"case_id": case_id, "photograph_id": photograph_id}
    return reverse("evidence:photograph", kwargs=keys)


@require_POST
def link(request: StaffRequest, case_id: UUID, photograph_id: UUID) -> HttpResponse:
    """Say that a photograph shows a finding."""
    frame = case_frame(request.user, case_id, current=PICTURE)
    form = LinkForm(request.POST, findings=queries.findings_to_link(frame.case))
    saved = submitted(
        request, form, actions.link_finding, case_id=case_id, photograph_id=photograph_id
    )
    if saved:
        return redirect(_page(case_id, photograph_id))
    shown = queries.photograph_of(frame.case, photograph_id)
    context = {**one_photograph(request, frame, shown), "link_form": form}
    context["form"] = PhotographForm(instance=shown)
    return render(request, "evidence/photograph.html", context, status=422)


@require_POST
def outline(
    request: StaffRequest, case_id: UUID, photograph_id: UUID, link_id: UUID
) -> HttpResponse:
    """Keep a pointer or an outline that was drawn; a refused one stays on the picture."""
    frame = case_frame(request.user, case_id, current=PICTURE)
    shown = queries.photograph_of(frame.case, photograph_id)
    linked = queries.link_of(shown, link_id)
    form = OutlineForm(request.POST)
    saved = submitted(request, form, actions.outline_finding, case_id=case_id, link_id=link_id)
    if saved:
        what = "removed" if saved.outline is None else "saved"
        messages.success(request, f"Outline of finding {linked.finding.number} {what}.")
        page = _page(case_id, photograph_id)
        return redirect(f"{page}?finding={linked.finding_id}")
    context = {
        **one_photograph(request, frame, shown),
        "form": PhotographForm(instance=shown),
        "outline_form": form,
        "outline_again": linked,
    }
    status = 409 if form.is_stale else 422
    return render(request, "evidence/photograph.html", context, status=status)


def _link(case: Case, photograph_id: UUID, link_id: UUID) -> PhotographFinding:
    return queries.link_of(queries.photograph_of(case, photograph_id), link_id)


@confirms(PICTURE, Act.PHOTOGRAPH, _link, actions.unlink_finding)
def unlink(linked: PhotographFinding) -> Withdrawal:
    """Withdraw the statement that a photograph shows a finding."""
    shown, finding = linked.photograph, linked.finding
    return Withdrawal(
        f"Photograph {shown.number} and finding {finding.number}",
        f"Photograph {shown.number} will no longer be shown with finding {finding}. Both stay, and "
        "the history shows that they were linked.",
        "Remove the link",
        back=_page(shown.case_id, shown.pk),
    )
