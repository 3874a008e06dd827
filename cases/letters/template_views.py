"""The office's templates of letters: what is offered, and each edition of it."""

from __future__ import annotations

from uuid import UUID

from django.http import HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.http import require_GET, require_http_methods

from cases.access import Act, may_somewhere
from cases.letters import actions, queries
from cases.letters.forms import TemplateForm
from cases.letters.merging import FIELDS
from cases.letters.rules import LetterKind
from cases.letters.standard import STANDARD
from me_office.accounts.requests import StaffRequest
from me_office.accounts.roles import CASE_ROLES
from me_office.audit.errors import NotAllowed, NotKnown
from me_office.shell.confirming import Confirmation, confirming
from me_office.shell.forms import answer_done, answer_form, submitted

KEEP = Act.KEEP_CLERK_LISTS


@require_GET
def templates(request: StaffRequest) -> HttpResponse:
    """Show each kind of letter with the office's templates and the standard text."""
    _require_staff(request)
    rows = [(offer, STANDARD[offer.kind]) for offer in queries.offers()]
    context = {"rows": rows, "may_change": may_somewhere(request.user, KEEP)}
    return render(request, "letters/templates.html", context)


@require_http_methods(["GET", "POST"])
def add(request: StaffRequest, kind: str) -> HttpResponse:
    """Write a template, beginning with the standard text."""
    _require_staff(request)
    if kind not in {one.value for one in LetterKind}:
        raise NotKnown("There is no such kind of letter.")
    of = LetterKind(kind)
    first = {"subject": STANDARD[of].subject, "body": STANDARD[of].body}
    form = TemplateForm(request.POST or None, kind=kind, initial=first)
    made = submitted(request, form, actions.add_letter_template)
    if made:
        return answer_done(request, f"“{made.title}” is offered from now on.", "letters:templates")
    context = {
        "kind_words": of.words,
        "fields": FIELDS,
        "may_change": may_somewhere(request.user, KEEP),
    }
    return answer_form(request, "letters/template.html", context, form)


@require_http_methods(["GET", "POST"])
def change(request: StaffRequest, template_id: UUID) -> HttpResponse:
    """Show a template with its editions, and put a new edition in its place."""
    _require_staff(request)
    template = queries.template_of(template_id)
    form = TemplateForm(
        request.POST or None, kind=template.kind, instance=queries.template_of(template_id)
    )
    made = submitted(request, form, actions.change_letter_template, template_id=template_id)
    if made:
        words = f"“{made.title}”, edition {made.number}, is offered from now on."
        return answer_done(request, words, "letters:template", template_id=made.pk)
    context = {
        "template": template,
        "kind_words": template.get_kind_display(),
        "editions": queries.editions_of(template),
        "fields": FIELDS,
        "may_change": may_somewhere(request.user, KEEP) and not template.is_voided,
    }
    return answer_form(request, "letters/template.html", context, form)


@require_http_methods(["GET", "POST"])
def void(request: StaffRequest, template_id: UUID) -> HttpResponse:
    """Withdraw a template, with the reason."""
    _require_staff(request)
    template = queries.template_of(template_id)
    done, templates = f"“{template.title}” is no longer offered.", reverse("letters:templates")
    said = Confirmation(
        "Withdraw a template",
        f"{done} Letters begun from it stay.",
        "Withdraw the template",
        back=reverse("letters:template", kwargs={"template_id": template.pk}),
        done=done,
        then=templates,
        intro=f"{template.title}, {template.get_kind_display()}",
        tab="Withdraw a template of letters",
        up=("Templates of letters", templates),
    )
    act = actions.void_letter_template
    return confirming(request, template, act, said, template_id=template_id)


def _require_staff(request: StaffRequest) -> None:
    if not request.user.roles & CASE_ROLES:
        raise NotAllowed("Your account gives no access to case files.")
