"""The page for cause and manner."""

from __future__ import annotations

from uuid import UUID

from django.conf import settings
from django.http import HttpResponse, JsonResponse
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST

from cases.access import Act, case_for, may
from cases.certification import actions
from cases.certification.cautions import (
    CERTIFIER_DECIDES,
    CHAIN_HELP,
    cautions_on,
    filing_words,
    guidance_on,
)
from cases.certification.facts import fact_groups, pronounced
from cases.certification.forms import CertificationForm
from cases.certification.items import certifier_items_left, intervals_left, other_items_left
from cases.certification.models import Certification, FollowUp
from cases.certification.queries import (
    age_in_years,
    certification_of,
    follow_ups_of,
    kind_of_examination,
    last_license_of,
    sheet_of,
    statements_told,
    withdrawn_statements,
)
from cases.certification.rules import follow_up_words
from cases.course import case_frame
from cases.models import Case
from evidence.results.queries import current_results
from evidence.results.rules import INTERPRETATION
from me_office.accounts.requests import StaffRequest
from me_office.audit.fields import said_of
from me_office.shell.forms import answer_done, answer_form, submitted


@require_http_methods(["GET", "POST"])
def cause_and_manner(request: StaffRequest, case_id: UUID) -> HttpResponse:
    """Show the opinion; the pathologist states or changes it."""
    frame = case_frame(request.user, case_id, current="cause_and_manner")
    standing = certification_of(case_id)
    may_certify = may(request.user, Act.CERTIFY, frame.case)
    begins = _begins(request) if may_certify and standing is None else {}
    form = CertificationForm(request.POST or None, instance=standing, initial=begins)
    saved = submitted(request, form, actions.state_cause_and_manner, case_id=case_id)
    if saved:
        return answer_done(
            request,
            f"Saved: manner {saved.manner_words}.",
            "certification:cause-and-manner",
            case_id=case_id,
        )
    sheet = sheet_of(frame.case)
    shown = sheet.certification
    entry = said_of(shown, actions.FIELDS) if shown else {}
    age = age_in_years(shown) if shown else None
    follow_ups = _follow_ups(frame.case)
    beside = guidance_on(_on_the_page(form)) if may_certify else {}
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
        "items_left": _left(shown, entry, age),
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
                [*beside.get(f"cause_{letter}", []), *beside.get(f"interval_{letter}", [])],
            )
            for letter in "abcd"
        ],
        "follow_ups": follow_ups,
        "waits": "; ".join(
            f"{one.words}, {words}" for one, words, _ in follow_ups if not one.came_on
        )
        or "nothing recorded",
        "statements": statements_told(sheet.statements),
        "withdrawn": withdrawn_statements(case_id),
        "changes": sheet.changes,
        "may_keep": may(request.user, Act.KEEP_CERTIFICATE, frame.case),
        "may_state": may(request.user, Act.STATE_TO_REGISTRAR, frame.case),
    }
    return answer_form(request, "certification/cause_and_manner.html", context, form)


@require_POST
def guidance(request: StaffRequest, case_id: UUID) -> HttpResponse:
    """Answer with what is asked of the lines as they are typed, by field; nothing is kept."""
    case_for(request.user, Act.CERTIFY, case_id)
    typed = {name: request.POST.get(name, "")[:LONGEST_LINE] for name in GUIDED}
    asked: dict[str, list[str]] = {}
    for name, words in guidance_on(typed).items():
        asked.setdefault(name.replace("interval_", "cause_"), []).extend(words)
    return JsonResponse({"asked": asked})


LONGEST_LINE = 2000
GUIDED = (
    *(f"{name}_{letter}" for letter in "abcd" for name in ("cause", "interval")),
    "contributing",
    "manner",
    "basis",
)


def _begins(request: StaffRequest) -> dict[str, object]:
    """What a new statement begins with: the license with which the person certified last."""
    number = last_license_of(request.user)
    return {"certifier_license": number, "certifier_type": "examiner"} if number else {}


def _left(shown: Certification | None, entry: dict[str, object], age: float | None) -> list[str]:
    if shown is None:
        return []
    sex = shown.case.decedent.sex
    return [
        *intervals_left(entry),
        *other_items_left(entry, sex=sex, age_years=age),
        *certifier_items_left(entry),
    ]


def _follow_ups(case: Case) -> list[tuple[FollowUp, str, bool]]:
    today = timezone.localdate()
    return [
        (one, follow_up_words(one.follow_up_on, today), one.follow_up_on < today)
        for one in follow_ups_of(case)
    ]


def _on_the_page(form: CertificationForm) -> dict[str, str]:
    """What stands in the fields now, sent back or saved."""
    return {bound.name: str(bound.value() or "") for bound in form.visible_fields()}
