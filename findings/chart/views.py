"""The body chart, and the findings that are recorded beside it."""

from __future__ import annotations

import json
import time
from uuid import UUID

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_http_methods

from cases.access import Act, case_for
from findings import actions, queries
from findings.chart import presence
from findings.chart.page import chart_url, show
from findings.chart.tabs import known_view
from findings.forms import ChartBody, FindingForm, PlaceForm, VoidForm
from findings.forms.by_words import DISTANCE_NAMES
from findings.models import Finding
from findings.questions.probes import CHANGE_PLACE, OFFERED
from me_office.accounts.requests import StaffRequest
from me_office.audit.errors import known
from me_office.shell.forms import answer_done, submitted

# As many as one photograph can show; the address stays short.
MOST_LIT = 60
# What a question offers to record: the form begins with it, and nothing is saved by itself.
OFFERS = {"probe-hole": OFFERED}


def finding_to_change(request: StaffRequest, case_id: UUID, finding_id: UUID) -> Finding:
    """A finding, if the person may change it. Raises NotKnown, NotAllowed."""
    case = case_for(request.user, Act.EXAMINE, case_id)
    return queries.finding_for_page(case, finding_id)


@require_GET
def chart(request: StaffRequest, case_id: UUID) -> HttpResponse:
    """The body chart with its list, and the selected finding."""
    asked = _keys(request.GET.get("finding", ""))
    lit = _keys(request.GET.get("findings", ""))
    first = asked or lit
    return show(request, case_id, finding_id=first[0] if first else None, lit=lit)


def _keys(text: str) -> list[UUID]:
    """Record keys separated by commas; what is no key is left out."""
    found = []
    for part in text.split(",")[:MOST_LIT]:
        try:
            found.append(UUID(part.strip()))
        except ValueError:
            continue
    return found


@require_GET
def present(request: StaffRequest, case_id: UUID) -> HttpResponse:
    """Say that this person has the chart open, and who else has; asked again every few seconds."""
    case = case_for(request.user, Act.SEE, case_id)
    person = request.user
    others = presence.others_at(case.pk, person.pk, person.printed_name, time.time())
    answer = render(request, "findings/_present.html", {"others": others})
    answer["Cache-Control"] = "no-store"
    return answer


@require_http_methods(["GET", "POST"])
def new_finding(request: StaffRequest, case_id: UUID) -> HttpResponse:
    """Record a finding, with its marks when the chart was used."""
    case = case_for(request.user, Act.EXAMINE, case_id)
    examination = queries.examination_of(case)
    on = ChartBody.of(examination) if examination else None
    offered = OFFERS.get(request.GET.get("offer", ""))
    begun = dict(offered or {"klass": "injury"})
    form = FindingForm(request.POST or None, initial=begun, on=on)
    saved = submitted(request, form, actions.record_finding, case_id=case_id)
    if saved:
        messages.success(request, f"Finding {saved.number} is recorded.")
        view = request.POST.get("view", "")
        return redirect(chart_url(case_id, saved.pk, view))
    return show(
        request,
        case_id,
        panel="finding_form",
        form=form,
        placing="new",
        offered=CHANGE_PLACE.say() if offered else "",
    )


@require_GET
def place_by_words(request: StaffRequest, case_id: UUID) -> HttpResponse:
    """Answer with the mark that words mean, for the chart to take, or with what is wrong.

    Nothing is saved: the mark goes into the form, and the words that placed it are emptied.
    """
    case = case_for(request.user, Act.EXAMINE, case_id)
    examination = known(queries.examination_of(case), "examination")
    on, shown = ChartBody.of(examination), known_view(request.GET.get("shown", ""))
    form = PlaceForm(request.GET, on=on, shown=shown)
    keeps = request.GET.get("keeps_distances", "")
    context = {"case_id": case_id, "view": shown, "keeps_distances": keeps, "form": form}
    if not form.is_valid() or form.drawn is None:
        return render(request, "findings/_by_words.html", context, status=422)
    drawn = form.drawn
    kept = {name: form.cleaned_data[name] for name in DISTANCE_NAMES}
    context |= {
        "form": PlaceForm(initial=kept, on=on),
        "drawn": json.dumps({"view": drawn.view, "kind": str(drawn.kind), "points": drawn.points}),
        "note": drawn.note,
    }
    return render(request, "findings/_by_words.html", context)


@require_http_methods(["GET", "POST"])
def change_finding(request: StaffRequest, case_id: UUID, finding_id: UUID) -> HttpResponse:
    """Change what is said of a finding."""
    finding = finding_to_change(request, case_id, finding_id)
    form = FindingForm(request.POST or None, instance=finding)
    saved = submitted(request, form, actions.change_finding, case_id=case_id, finding_id=finding_id)
    if saved:
        return answer_done(
            request,
            f"Finding {saved.number} is changed.",
            chart_url(case_id, saved.pk, request.POST.get("view", "")),
        )
    return show(request, case_id, finding_id=finding_id, panel="finding_form", form=form)


@require_http_methods(["GET", "POST"])
def void_finding(request: StaffRequest, case_id: UUID, finding_id: UUID) -> HttpResponse:
    """Void a finding; its number stays out of use."""
    finding = finding_to_change(request, case_id, finding_id)
    form = VoidForm(request.POST or None, record=finding)
    saved = submitted(request, form, actions.void_finding, case_id=case_id, finding_id=finding_id)
    if saved:
        return answer_done(request, f"Finding {saved.number} is voided.", chart_url(case_id))
    sentence = (
        f"Finding {finding.number}, {finding.term.lower()}, is withdrawn with its marks. It stays "
        "in the history, and its number is not used again."
    )
    return show(request, case_id, finding_id=finding_id, panel="void", form=form, sentence=sentence)
