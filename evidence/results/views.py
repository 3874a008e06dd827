"""Pages: the results of a case, recording one, one with its lines, withdrawing it."""

from __future__ import annotations

from uuid import UUID

from django.http import HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods

from cases.access import Act, decision_on, may
from cases.course import CaseFrame, case_frame
from cases.views.confirming import confirms
from evidence.items.pages import Withdrawal, of_numbered
from evidence.results import actions, queries
from evidence.results.forms import LINES_SHOWN, ResultForm
from evidence.results.models import Result
from evidence.results.rules import INTERPRETATION
from me_office.accounts.requests import StaffRequest
from me_office.audit.fields import said_of
from me_office.shell.forms import answer_done, answer_form, submitted

STEP = "results"


@require_GET
def results(request: StaffRequest, case_id: UUID) -> HttpResponse:
    """List what was reported, newest first, and what is not available."""
    frame = case_frame(request.user, case_id, current=STEP)
    rows = queries.results_of(case_id)
    replaced = {row.replaces_id: row for row in rows if not row.is_voided and row.replaces_id}
    current = [row for row in rows if not row.is_voided and row.pk not in replaced]
    decision = decision_on(request.user, Act.RECORD_RESULT, frame.case)
    context = {
        "frame": frame,
        "rows": [(row, replaced.get(row.pk)) for row in rows],
        "not_available": queries.not_available_in(case_id, current),
        "may_record": decision.allowed,
        "why_not": decision.why,
        "interpretation": INTERPRETATION.say(),
    }
    return render(request, "results/results.html", context)


@require_http_methods(["GET", "POST"])
def record(request: StaffRequest, case_id: UUID) -> HttpResponse:
    """Record a result, or the one that takes the place of an earlier one."""
    frame = case_frame(request.user, case_id, current=STEP, act=Act.RECORD_RESULT)
    replaces = _replaced(request, frame)
    form = ResultForm(
        request.POST or None,
        items=queries.items_to_name(frame.case),
        replaces=replaces,
        shown=_lines_asked(request),
        initial=_start(replaces),
    )
    saved = submitted(
        request,
        form,
        actions.record_result,
        case_id=case_id,
        replaces=replaces.pk if replaces else None,
    )
    if saved:
        words = f"Result {saved.number} recorded."
        return answer_done(request, words, "results:one", case_id=case_id, result_id=saved.pk)
    context = {"frame": frame, "replaces": replaces, "interpretation": INTERPRETATION.say()}
    return answer_form(request, "results/record.html", context, form)


def _replaced(request: StaffRequest, frame: CaseFrame) -> Result | None:
    key = request.GET.get("replaces", "")
    try:
        return queries.result_of(frame.case, UUID(key)) if key else None
    except ValueError:
        return None


def _lines_asked(request: StaffRequest) -> int:
    asked = request.GET.get("lines", "")
    return int(asked) if asked.isdecimal() and len(asked) < 4 else LINES_SHOWN


def _start(replaces: Result | None) -> dict[str, object]:
    """What the form begins with; an amended report mostly repeats the one that it replaces."""
    if replaces is None:
        return {"received_on": timezone.localdate(), "status": "final"}
    kept = ("kind", "organization", "reported_by", "reference", "statement")
    start: dict[str, object] = said_of(replaces, kept)
    start["status"] = "final" if replaces.status == "preliminary" else "amended"
    start["received_on"] = timezone.localdate()
    start["items"] = [str(link.item_id) for link in replaces.item_links.all()]
    for line in replaces.lines.all():
        for name in ("analyte", "relation", "value", "unit", "matrix", "reporting_limit"):
            start[f"{name}_{line.place}"] = getattr(line, name)
    return start


@require_GET
def result(request: StaffRequest, case_id: UUID, result_id: UUID) -> HttpResponse:
    """Show one result with its lines, what it replaces and what replaced it."""
    frame = case_frame(request.user, case_id, current=STEP)
    shown = queries.result_of(frame.case, result_id)
    later = queries.replacement_of(shown)
    may_record = may(request.user, Act.RECORD_RESULT, frame.case)
    context = {
        "frame": frame,
        "result": shown,
        "later": later,
        # Beyond this point the report is signed: what the result changes is said in an addendum.
        "addenda": shown.addenda.active().order_by("number") if shown.after_signing else [],
        "may_amend": may(request.user, Act.AMEND_SIGNED, frame.case)
        and later is None
        and not shown.is_voided,
        "may_replace": may_record and later is None and not shown.is_voided,
        "may_withdraw": may_record
        and later is None
        and not shown.is_voided
        and not frame.case.is_locked,
        "interpretation": INTERPRETATION.say(),
    }
    return render(request, "results/result.html", context)


@confirms(STEP, Act.RECORD_RESULT, queries.result_of, actions.withdraw_result, key="record_id")
def withdraw(shown: Result) -> Withdrawal:
    """Withdraw a result that was entered by mistake."""
    says = (
        f"Result {shown.number} will no longer count in this case. It stays readable with your "
        "reason, and its number is not used again."
    )
    back = reverse("results:one", kwargs={"case_id": shown.case_id, "result_id": shown.pk})
    then = reverse("results:all", kwargs={"case_id": shown.case_id})
    return of_numbered("result", shown.number, says, back=back, then=then)
