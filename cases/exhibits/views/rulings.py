"""Pages of rulings: recorded beside an exhibit, corrected, withdrawn."""

from __future__ import annotations

from uuid import UUID

from django.http import HttpResponse
from django.urls import reverse
from django.views.decorators.http import require_http_methods

from cases.course import case_frame
from cases.exhibits import actions, queries
from cases.exhibits.forms import RulingForm
from cases.exhibits.models import Exhibit, ExhibitRuling
from cases.exhibits.views.sets import PREPARE, STEP
from cases.views.confirming import confirms
from me_office.accounts.requests import StaffRequest
from me_office.shell.confirming import Confirmation
from me_office.shell.forms import answer_done, answer_form, submitted


@require_http_methods(["GET", "POST"])
def record(request: StaffRequest, case_id: UUID, set_id: UUID, exhibit_id: UUID) -> HttpResponse:
    """Record what was ruled on an exhibit."""
    frame = case_frame(request.user, case_id, current=STEP, act=PREPARE)
    shown = queries.exhibit_of(frame.case, set_id, exhibit_id)
    form = RulingForm(request.POST or None)
    saved = submitted(request, form, actions.record_ruling, case_id=case_id, exhibit_id=exhibit_id)
    if saved:
        return answer_done(
            request, f"Recorded for exhibit {shown.number}: {saved.words}.", page_of(shown)
        )
    context = {"frame": frame, "exhibit": shown, "back": page_of(shown)}
    return answer_form(request, "exhibits/ruling.html", context, form)


@require_http_methods(["GET", "POST"])
def change(request: StaffRequest, case_id: UUID, ruling_id: UUID) -> HttpResponse:
    """Correct what was recorded of a ruling."""
    frame = case_frame(request.user, case_id, current=STEP, act=PREPARE)
    ruling = queries.ruling_of(frame.case, ruling_id)
    form = RulingForm(request.POST or None, instance=queries.ruling_of(frame.case, ruling_id))
    saved = submitted(request, form, actions.change_ruling, case_id=case_id, ruling_id=ruling_id)
    if saved:
        return answer_done(
            request,
            f"Corrected for exhibit {saved.exhibit.number}: {saved.words}.",
            page_of(ruling.exhibit),
        )
    context = {
        "frame": frame,
        "exhibit": ruling.exhibit,
        "ruling": ruling,
        "back": page_of(ruling.exhibit),
    }
    return answer_form(request, "exhibits/ruling.html", context, form)


@confirms(STEP, PREPARE, queries.ruling_of, actions.void_ruling)
def withdraw(ruling: ExhibitRuling) -> Confirmation:
    """Withdraw what should not have been recorded."""
    return Confirmation(
        f"Withdraw what was recorded for exhibit {ruling.exhibit.number}",
        f"{ruling.words.capitalize()}, {ruling.on_day:%d %b %Y}: for an entry that should not have "
        "been made. A later ruling is recorded beside it.",
        "Withdraw the entry",
        back=page_of(ruling.exhibit),
        done="The entry is withdrawn.",
        in_step=False,
    )


def page_of(exhibit: Exhibit) -> str:
    """Return the address of an exhibit's page."""
    keys = {"case_id": exhibit.case_id, "set_id": exhibit.exhibit_set_id, "exhibit_id": exhibit.pk}
    return reverse("exhibits:exhibit", kwargs=keys)
