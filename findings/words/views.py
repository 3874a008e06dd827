"""The office's vocabulary: what is offered while a finding is typed."""

from __future__ import annotations

from uuid import UUID

from django.http import HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.http import require_GET, require_http_methods

from cases.access import Act, cases_open_to, may_somewhere
from cases.models import Case
from findings.forms import VoidForm
from findings.rules import FindingClass
from findings.words import actions, queries, vocabulary
from findings.words.forms import OfficeTermForm, WordingForm
from findings.words.models import OfficeTerm, OfficeWording
from me_office.accounts.requests import StaffRequest
from me_office.audit.errors import NotKnown, known_of_office
from me_office.shell.confirming import Confirmation, confirming
from me_office.shell.forms import answer_done, answer_form, submitted


def _from_case(request: StaffRequest) -> Case | None:
    """The case whose chart led here, if the person may see it: the way back."""
    try:
        key = UUID(request.GET.get("case", ""))
    except ValueError:
        return None
    return cases_open_to(request.user).filter(pk=key).first()


@require_http_methods(["GET", "POST"])
def terms(request: StaffRequest) -> HttpResponse:
    """Show the curated terms and the office's own by class; a pathologist adds one."""
    form = OfficeTermForm(request.POST or None, initial={"klass": "injury"})
    from_case = _from_case(request)
    asked = f"?case={from_case.pk}" if from_case else ""
    made = submitted(request, form, actions.add_office_term)
    if made:
        return answer_done(
            request, f"“{made.term}” is offered from now on.", reverse("findings:terms") + asked
        )
    own = list(queries.office_terms())
    context = {
        "classes": [
            (
                one.value,
                vocabulary.terms_of(one.value),
                [term for term in own if term.klass == one.value],
            )
            for one in FindingClass
        ],
        "may_add": may_somewhere(request.user, Act.EXAMINE),
        "from_case": from_case,
        "asked": asked,
    }
    return answer_form(request, "findings/terms.html", context, form)


@require_http_methods(["GET", "POST"])
def void_term(request: StaffRequest, term_id: UUID) -> HttpResponse:
    """Withdraw a term of the office, with the reason."""
    term = known_of_office(OfficeTerm.objects.active().filter(pk=term_id).first(), "term")
    from_case = _from_case(request)
    said = Confirmation(
        "Withdraw a term",
        f"“{term.term}” is no longer offered for {term.klass}. Findings keep it.",
        "Withdraw the term",
        back=reverse("findings:terms") + (f"?case={from_case.pk}" if from_case else ""),
        done=f"“{term.term}” is no longer offered.",
        stop=False,
        form_class=VoidForm,
    )
    return confirming(request, term, actions.void_office_term, said, term_id=term_id)


@require_GET
def wordings(request: StaffRequest) -> HttpResponse:
    """Show what reports say in words that the office may change, with its own where it has some."""
    own = {one.key: one for one in queries.own_wordings()}
    context = {
        "groups": [
            (title, [(one, own.get(one.key)) for one in offered])
            for title, offered in queries.wordings().items()
        ],
        "changed": len(own),
        "may_change": may_somewhere(request.user, Act.EXAMINE),
    }
    return render(request, "findings/wordings.html", context)


@require_http_methods(["GET", "POST"])
def reword(request: StaffRequest, key: str) -> HttpResponse:
    """Change the wording of one thing in the office's reports, or read how it came about."""
    wording = queries.wording_of(key)
    if wording is None:
        raise NotKnown("The report has no such wording.")
    earlier = queries.wordings_under(key)
    standing = next((one for one in earlier if not one.is_voided), None)
    stands = standing.words if standing else wording.standard
    form = WordingForm(
        request.POST or None,
        initial={"words": stands, "replaces": standing.pk if standing else None},
    )
    made = submitted(request, form, actions.reword, key=key)
    if made:
        return answer_done(request, f"Reports say “{made.words}” from now on.", "findings:wordings")
    if form.is_bound:
        form.go_on_from(standing)
    context = {
        "wording": wording,
        "standing": standing,
        "earlier": [one for one in earlier if one.is_voided],
        "sample": wording.reads(stands),
        "may_change": may_somewhere(request.user, Act.EXAMINE),
    }
    return answer_form(request, "findings/reword.html", context, form)


@require_http_methods(["GET", "POST"])
def restore_wording(request: StaffRequest, wording_id: UUID) -> HttpResponse:
    """Go back to the standard wording, with the reason."""
    own = OfficeWording.objects.active().filter(pk=wording_id).first()
    wording = queries.wording_of(own.key) if own else None
    if own is None or wording is None:
        raise NotKnown("There is no such wording.")
    said = Confirmation(
        "Back to the standard wording",
        f"Reports will say “{wording.standard}” again. Signed ones stay as they are.",
        "Use the standard wording",
        back=reverse("findings:wordings"),
        done=f"Reports say “{wording.standard}” again.",
        stop=False,
        form_class=VoidForm,
    )
    return confirming(request, own, actions.restore_wording, said, wording_id=wording_id)
