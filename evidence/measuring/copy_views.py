"""Pages of derived copies: asking for one, how far it is, its file, withdrawing it."""

from __future__ import annotations

from uuid import UUID

from django.http import HttpResponse, HttpResponseBase
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_POST, require_safe
from django.views.decorators.vary import vary_on_headers

from cases.access import Act, case_for, may
from cases.course import case_frame
from cases.views.confirming import confirms
from evidence.items.pages import Withdrawal, of_numbered
from evidence.measuring import actions, queries
from evidence.measuring.forms import CopyForm, MeasureForm
from evidence.measuring.models import DerivedCopy
from evidence.measuring.views import STEP, back_to, copies_context, page_of
from evidence.photographs.queries import findings_to_link, photograph_of
from evidence.store.serving import hand_over
from me_office.accounts.requests import StaffRequest
from me_office.jobs.forms import tried_again
from me_office.shell.forms import answer_form, is_part, submitted


@require_http_methods(["GET", "POST"])
@vary_on_headers("HX-Request")
def copies(request: StaffRequest, case_id: UUID, photograph_id: UUID) -> HttpResponse:
    """Answer with the list of copies as it stands; ask for one more."""
    if request.method == "POST":
        return _ask(request, case_id, photograph_id)
    # Asked every second while a copy is made: one look at the page is noted, not each of these.
    case = case_for(request.user, Act.SEE, case_id)
    shown = photograph_of(case, photograph_id)
    if not is_part(request):
        return redirect(back_to(case_id, photograph_id))
    context = {
        "case_id": case_id,
        "photograph": shown,
        "may_measure": may(request.user, Act.PHOTOGRAPH, case) and not shown.is_voided,
        **copies_context(shown),
    }
    return render(request, "measuring/_copy_rows.html", context)


def _ask(request: StaffRequest, case_id: UUID, photograph_id: UUID) -> HttpResponse:
    frame = case_frame(request.user, case_id, current=STEP)
    shown = photograph_of(frame.case, photograph_id)
    form = CopyForm(request.POST, measurements=queries.measurements_of(shown))
    asked = submitted(
        request, form, actions.request_copy, case_id=case_id, photograph_id=photograph_id
    )
    if asked:
        return redirect(f"{back_to(case_id, photograph_id)}#copies")
    context = {**page_of(request, frame, shown), "copy_form": form}
    fresh = MeasureForm(findings=findings_to_link(frame.case))
    answer = answer_form(request, "measuring/measure.html", context, fresh)
    answer.status_code = 422
    return answer


@require_POST
def retry_copy(request: StaffRequest, case_id: UUID, request_id: UUID) -> HttpResponse:
    """Try again to make a copy that was not made, or leave it."""
    retry, leave = actions.retry_copy, actions.abandon_copy
    asked = tried_again(request, retry, leave, case_id=case_id, request_id=request_id)
    return redirect(f"{back_to(case_id, asked.photograph_id)}#copies")


@require_safe
def copy_file(request: StaffRequest, case_id: UUID, copy_id: UUID) -> HttpResponseBase:
    """Download a derived copy, or a part of it; it is noted."""
    case = case_for(request.user, Act.SEE, case_id)
    copy = queries.copy_of(case, copy_id)
    return hand_over(
        request, copy.file, case_id=case.pk, record_id=copy.pk, what="copy",
        filename=f"photograph-{copy.photograph.number}-copy-{copy.number}.png",
        media_type="image/png",
    )  # fmt: skip


@confirms(STEP, Act.PHOTOGRAPH, queries.copy_of, actions.void_copy)
def withdraw_copy(copy: DerivedCopy) -> Withdrawal:
    """Withdraw a derived copy."""
    says = (
        f"Copy {copy.number} ({copy.kind}) will no longer be offered. Its file stays in the store, "
        "and the history keeps it."
    )
    back = back_to(copy.case_id, copy.photograph_id)
    return of_numbered("copy", copy.number, says, back=back)
