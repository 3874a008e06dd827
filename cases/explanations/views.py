"""Pages of the standing explanations: all of them, one in the office's own words."""

from __future__ import annotations

from django.http import HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.http import require_GET, require_http_methods

from cases.access import Act, may_somewhere, require_role
from cases.explanations import actions, queries
from cases.explanations.forms import ExplanationForm
from findings.forms import VoidForm
from me_office.accounts.requests import StaffRequest
from me_office.audit.errors import NotKnown
from me_office.shell.confirming import Confirmation, confirming
from me_office.shell.forms import answer_done, answer_form, submitted


@require_GET
def all_explanations(request: StaffRequest) -> HttpResponse:
    """Show every explanation as the office gives it."""
    context = {
        "explanations": queries.explanations(),
        "may_change": may_somewhere(request.user, Act.KEEP_EXPLANATIONS),
    }
    return render(request, "explanations/all.html", context)


@require_http_methods(["GET", "POST"])
def explanation(request: StaffRequest, key: str) -> HttpResponse:
    """Change one explanation's words, with what they were before."""
    require_role(request.user, Act.KEEP_EXPLANATIONS)
    shown = queries.explanation_of(key)
    asked = {"question": shown.question, "words": shown.words, "source": shown.source}
    form = ExplanationForm(request.POST or None, instance=shown.own, initial=asked)
    saved = submitted(request, form, actions.change_explanation, key=key)
    if saved:
        return answer_done(request, f"Saved: {saved}", f"{reverse('explanations:all')}#{key}")
    context = {"shown": shown, "acts": queries.earlier_words(key)}
    return answer_form(request, "explanations/explanation.html", context, form)


@require_http_methods(["GET", "POST"])
def withdraw(request: StaffRequest, key: str) -> HttpResponse:
    """Withdraw the office's own words, with the reason."""
    require_role(request.user, Act.KEEP_EXPLANATIONS)
    shown = queries.explanation_of(key)
    if shown.own is None:
        raise NotKnown("The office has no words of its own for this.")
    back = reverse("explanations:all")
    said = Confirmation(
        "Return to the standard text",
        "The office’s own words are withdrawn and kept in the history. The standard text is given "
        "again.",
        "Withdraw the office’s own words",
        back=back,
        done="The standard text is given again.",
        then=f"{back}#{key}",
        tab=f"Return to the standard text: {shown.question}",
        stop=False,
        form_class=VoidForm,
    )
    return confirming(request, shown.own, actions.withdraw_explanation, said, key=key)
