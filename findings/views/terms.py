"""The office's vocabulary: what is offered while a finding is typed."""

from __future__ import annotations

from uuid import UUID

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods

from cases.access import Act, may_somewhere
from findings import actions, queries, vocabulary
from findings.forms import VoidForm
from findings.forms.term import OfficeTermForm
from findings.models import OfficeTerm
from findings.rules import FindingClass
from me_office.audit.errors import NotKnown
from me_office.shell.forms import answer_form, attempt


@require_http_methods(["GET", "POST"])
def terms(request: HttpRequest) -> HttpResponse:
    """Show the curated terms and the office's own by class; a pathologist adds one."""
    form = OfficeTermForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        made = attempt(
            form,
            lambda: actions.add_office_term(
                request.user, record_id=form.record_id, entry=form.entry
            ),
        )
        if made:
            messages.success(request, f"“{made.term}” is offered from now on.")
            return redirect("findings:terms")
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
    }
    return answer_form(request, "findings/terms.html", context, form)


@require_http_methods(["GET", "POST"])
def void_term(request: HttpRequest, term_id: UUID) -> HttpResponse:
    """Withdraw a term of the office, with the reason."""
    term = OfficeTerm.objects.standing().filter(pk=term_id).first()
    if term is None:
        raise NotKnown("There is no such term.")
    form = VoidForm(request.POST or None, record=term)
    if request.method == "POST" and form.is_valid():
        gone = attempt(
            form,
            lambda: actions.void_office_term(
                request.user, term_id=term_id, version=form.version, reason=form.reason
            ),
        )
        if gone:
            messages.success(request, f"“{gone.term}” is no longer offered.")
            return redirect("findings:terms")
    context = {
        "form": form,
        "sentence": f"“{term.term}” is no longer offered for {term.klass}. Findings keep it.",
    }
    status = 422 if form.is_bound else 200
    return render(request, "findings/void_term.html", context, status=status)
