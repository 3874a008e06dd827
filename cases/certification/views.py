"""The page for cause and manner."""

from __future__ import annotations

from uuid import UUID

from django.conf import settings
from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_http_methods

from cases.access import Act, may
from cases.certification import actions
from cases.certification.cautions import (
    CERTIFIER_DECIDES,
    CHAIN_HELP,
    cautions_beside,
    cautions_on,
    filing_words,
)
from cases.certification.facts import fact_groups, pronounced
from cases.certification.forms import CertificationForm
from cases.certification.items import other_items_left
from cases.certification.queries import age_in_years, certification_of, kind_of_examination
from cases.course import case_frame
from evidence.results.queries import current_results
from evidence.results.rules import INTERPRETATION
from me_office.accounts.requests import StaffRequest
from me_office.shell.forms import answer_form, submitted


@require_http_methods(["GET", "POST"])
def cause_and_manner(request: StaffRequest, case_id: UUID) -> HttpResponse:
    """Show the opinion; the pathologist states or changes it."""
    frame = case_frame(request.user, case_id, current="cause_and_manner")
    standing = certification_of(case_id)
    form = CertificationForm(request.POST or None, instance=standing)
    saved = submitted(request, form, actions.state_cause_and_manner, case_id=case_id)
    if saved:
        messages.success(request, f"Saved: manner {saved.manner_words}.")
        return redirect("certification:cause-and-manner", case_id=case_id)
    shown = certification_of(case_id)
    entry = {name: getattr(shown, name) for name in actions.FIELDS} if shown else {}
    age = age_in_years(shown) if shown else None
    may_certify = may(request.user, Act.CERTIFY, frame.case)
    beside = cautions_beside(_on_the_page(form) if may_certify else {})
    context = {
        "frame": frame,
        "certification": shown,
        "cautions": cautions_on(
            entry,
            age_years=age,
            sex=frame.decedent.sex,
            kind=kind_of_examination(shown) if shown else "",
            beside=may_certify,
        ),
        "items_left": other_items_left(entry, sex=frame.decedent.sex, age_years=age)
        if shown
        else [],
        "fact_groups": fact_groups(shown) if shown else [],
        "pronounced": pronounced(frame.case),
        "chain_help": CHAIN_HELP.say(),
        "filing": filing_words(settings.CERTIFICATE_RULE),
        "certifier_decides": CERTIFIER_DECIDES.say(),
        "results": current_results(case_id),
        "interpretation": INTERPRETATION.say(),
        "may_certify": may_certify,
        "beside": beside,
        "cause_rows": [
            (
                letter,
                form[f"cause_{letter}"],
                form[f"interval_{letter}"],
                beside.get(f"cause_{letter}", ""),
            )
            for letter in "abcd"
        ],
    }
    return answer_form(request, "certification/cause_and_manner.html", context, form)


def _on_the_page(form: CertificationForm) -> dict[str, str]:
    """What stands in the fields now, sent back or saved."""
    return {bound.name: str(bound.value() or "") for bound in form.visible_fields()}
