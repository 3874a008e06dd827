"""Pages: setting something aside, what was set aside, pointing it out again."""

from __future__ import annotations

from uuid import UUID

from django.http import HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.http import require_GET, require_http_methods

from cases.access import Act, may
from cases.course import case_frame
from cases.models import Case
from cases.views.confirming import confirms
from cases.views.parts import part_of
from evidence.gaps import actions, queries
from evidence.gaps.models import SetAside
from evidence.gaps.queries import missing_in_log
from evidence.items.forms import WithdrawForm
from evidence.items.pages import Withdrawal
from me_office.accounts.requests import StaffRequest
from me_office.shell.confirming import answer_confirming
from me_office.shell.forms import answer_done, submitted

STEP = "photographs"
# Where a person comes from and goes back to.
PLACES = {"log": "evidence:photographs", "series": "evidence:series", "report": "review:report"}


def _back(request: StaffRequest, case_id: UUID) -> str:
    place = request.GET.get("from", "log")
    return reverse(PLACES.get(place, PLACES["log"]), kwargs={"case_id": case_id})


@require_http_methods(["GET", "POST"])
def set_aside(request: StaffRequest, case_id: UUID) -> HttpResponse:
    """Leave something as it is, with the reason."""
    frame = case_frame(request.user, case_id, current=STEP, act=Act.PHOTOGRAPH)
    key = request.GET.get("key", "")
    form = WithdrawForm(request.POST or None)
    form.fields["version"].initial = 0
    words = actions.words_of(frame.case, key) if request.method == "GET" else ""
    done = submitted(request, form, actions.set_aside, case_id=case_id, key=key)
    if done:
        return answer_done(request, f"Set aside: {done.words}", _back(request, case_id))
    said = Withdrawal(
        "Set aside",
        f"{words} It is no longer pointed out, in the log and before review. Your reason stays "
        "with the case, and it can be pointed out again.".strip(),
        "Set it aside",
        back=_back(request, case_id),
    )
    return answer_confirming(request, form, said, frame=frame)


@require_GET
def all_set_aside(request: StaffRequest, case_id: UUID) -> HttpResponse:
    """Show what was set aside, by whom and why."""
    frame = case_frame(request.user, case_id, current=STEP)
    context = {
        "frame": frame,
        "rows": queries.set_aside_in(frame.case),
        "may_change": may(request.user, Act.PHOTOGRAPH, frame.case),
    }
    return render(request, "gaps/set_aside.html", context)


@part_of("evidence:photographs", end="#missing")
def missing(request: StaffRequest, case: Case) -> HttpResponse:
    """What the log lacks, as a part of other pages' thread."""
    context = {"case": case, "missing": missing_in_log(case), "aside": queries.set_aside_in(case)}
    return render(request, "gaps/_missing.html", context)


@confirms(STEP, Act.PHOTOGRAPH, queries.one_set_aside, actions.point_out_again)
def point_out_again(shown: SetAside) -> Withdrawal:
    """Take back that something was set aside."""
    return Withdrawal(
        "Point it out again",
        f"{shown.words} As long as this is the case, it will be pointed out in the log and before "
        "review.",
        "Point it out again",
        back=reverse("gaps:all", kwargs={"case_id": shown.case_id}),
    )
