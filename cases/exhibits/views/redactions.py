"""Pages of redactions: drawing regions, looking first, taking one back, the copy itself."""

from __future__ import annotations

import json
from uuid import UUID

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpResponse, HttpResponseBase
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import (
    require_GET,
    require_http_methods,
    require_POST,
    require_safe,
)

from cases.access import Act, case_for, may
from cases.course import case_frame
from cases.court.models import RecordsRequest
from cases.court.queries import requests_of
from cases.exhibits import actions, queries, redacting
from cases.exhibits.forms import RedactionForm, read_entries
from cases.exhibits.models import Redaction
from cases.exhibits.views.sets import PREPARE, STEP, log_of
from cases.models import Case
from cases.views.confirming import confirms
from cases.views.parts import part_of
from evidence.photographs.queries import photograph_of
from evidence.store.serving import hand_over
from me_office.accounts.requests import StaffRequest
from me_office.audit.errors import Refused
from me_office.jobs.forms import tried_again
from me_office.shell.confirming import Confirmation
from me_office.shell.forms import answer_form, submitted


def _asked_for(request: StaffRequest, case_id: UUID) -> RecordsRequest | None:
    """Return the request of the case for which a photograph is redacted, where the address says."""
    key = request.GET.get("request", "")
    found = requests_of(case_id) if key else []
    return next((one for one in found if str(one.pk) == key), None)


@require_http_methods(["GET", "POST"])
def redact(request: StaffRequest, case_id: UUID, photograph_id: UUID) -> HttpResponse:
    """Draw what may not be seen, and keep the copy."""
    frame = case_frame(request.user, case_id, current=STEP, act=PREPARE)
    shown = photograph_of(frame.case, photograph_id)
    standing = queries.active_redaction(shown)
    asked_for = _asked_for(request, case_id)
    form = RedactionForm(request.POST or None)
    form.fields["version"].initial = standing.version if standing else 0
    # What is hidden now is where drawing goes on from, so that nothing is shown by mistake.
    form.fields["regions"].initial = json.dumps(standing.regions) if standing else ""
    asked = submitted(request, form, redacting.ask, case_id=case_id, photograph_id=photograph_id)
    if asked:
        messages.info(request, f"The redacted copy of photograph {shown.number} is being made.")
        if asked_for is not None:
            return redirect("court:request", case_id=case_id, request_id=asked_for.pk)
        page = reverse("exhibits:sets", kwargs={"case_id": case_id})
        return redirect(f"{page}#redactions")
    size = redacting.size_of(shown)
    context = {
        "frame": frame,
        "photograph": shown,
        "asked_for": asked_for,
        "standing": standing,
        "asked": queries.photographs_to_be_hidden(frame.case).get(photograph_id),
        "size": size,
        "history": queries.redactions_of(frame.case, shown),
    }
    return answer_form(request, "exhibits/redact.html", context, form)


@require_GET
def preview(request: StaffRequest, case_id: UUID, photograph_id: UUID) -> HttpResponse:
    """Show how the copy would look, in screen size; nothing is kept."""
    case = case_for(request.user, PREPARE, case_id)
    shown = photograph_of(case, photograph_id)
    try:
        entries = read_entries(request.GET.get("regions", ""))
    except ValidationError as error:
        raise Refused(str(error.message)) from error
    copy = redacting.preview_of(shown, redacting.regions_on(shown, entries))
    return HttpResponse(copy, content_type="image/jpeg", headers={"Cache-Control": "no-store"})


@part_of("exhibits:sets")
def redaction_log(request: StaffRequest, case: Case) -> HttpResponse:
    """Answer with the log of redactions as it stands, for the page that waits for one."""
    context = {"case_id": case.pk, "may_prepare": may(request.user, PREPARE, case), **log_of(case)}
    return render(request, "exhibits/_redactions.html", context)


@require_POST
def retry(request: StaffRequest, case_id: UUID, request_id: UUID) -> HttpResponse:
    """Try again to make a copy that was not made, or leave it."""
    retry, leave = actions.retry_redaction, actions.abandon_redaction
    tried_again(request, retry, leave, case_id=case_id, request_id=request_id)
    page = reverse("exhibits:sets", kwargs={"case_id": case_id})
    return redirect(f"{page}#redactions")


@confirms(STEP, PREPARE, queries.redaction_of, actions.void_redaction)
def take_back(shown: Redaction) -> Confirmation:
    """Take a redaction back."""
    number = shown.photograph.number
    return Confirmation(
        f"Withdraw the redaction of photograph {number}",
        "From now on, exhibits show the photograph in full, including what was covered or blurred. "
        "The redacted copy stays in the store, and the log keeps both reasons.",
        "Withdraw the redaction",
        back=reverse("exhibits:sets", kwargs={"case_id": shown.case_id}),
        done=f"The redaction of photograph {number} is withdrawn.",
        caution="A court order may forbid showing what was hidden. Ask counsel if in doubt.",
        in_step=False,
    )


@require_safe
def redacted_copy(request: StaffRequest, case_id: UUID, redaction_id: UUID) -> HttpResponseBase:
    """Send the redacted copy, or a part of it; that it was fetched is noted."""
    case = case_for(request.user, Act.SEE, case_id)
    shown = queries.redaction_of(case, redaction_id)
    return hand_over(
        request, shown.file, case_id=case.pk, record_id=shown.pk, what="redacted copy",
        filename=f"{shown.file.sha256}.jpg",
    )  # fmt: skip
