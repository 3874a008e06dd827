"""The office's sentences for the body systems: what is offered, and each edition of it."""

from __future__ import annotations

from uuid import UUID

from django.http import HttpResponse
from django.shortcuts import render
from django.urls import URLPattern, path, reverse
from django.views.decorators.http import require_http_methods

from cases.access import Act, may_somewhere
from findings.forms import VoidForm
from findings.systems import queries, template_actions
from findings.systems.catalogue import PARTS, SYSTEMS
from findings.systems.forms import SystemTemplateForm
from findings.systems.offered import BUILT_IN
from me_office.accounts.requests import StaffRequest
from me_office.audit.errors import NotKnown
from me_office.shell.confirming import Confirmation, confirming
from me_office.shell.forms import answer_done, answer_form, submitted


@require_http_methods(["GET"])
def templates(request: StaffRequest) -> HttpResponse:
    """Show the templates of every system."""
    rows = queries.office_templates()
    offered = []
    for system in SYSTEMS.values():
        own = [row for row in rows if row.system == system.key]
        standard = [
            (PARTS[key], lines) for key, lines in BUILT_IN[system.key].items()
        ] if not any(row.stands_for_standard for row in own) else []  # fmt: skip
        offered.append((system, own, standard))
    context = {"offered": offered, "may_change": may_somewhere(request.user, Act.EXAMINE)}
    return render(request, "findings/system_templates.html", context)


@require_http_methods(["GET", "POST"])
def new_template(request: StaffRequest, system: str) -> HttpResponse:
    """Write a template, beginning with the standard sentences."""
    if system not in SYSTEMS:
        raise NotKnown("There is no such system.")
    form = SystemTemplateForm(request.POST or None, system=system, lines=dict(BUILT_IN[system]))
    made = submitted(request, form, template_actions.add_system_template)
    if made:
        return answer_done(
            request, f"“{made.title}” is offered from now on.", "findings:system-templates"
        )
    context = {
        "system": SYSTEMS[system],
        "may_change": may_somewhere(request.user, Act.EXAMINE),
    }
    return answer_form(request, "findings/system_template.html", context, form)


@require_http_methods(["GET", "POST"])
def change_template(request: StaffRequest, template_id: UUID) -> HttpResponse:
    """Show a template with its editions, and put a new edition in its place."""
    template = queries.template_of(template_id)
    form = SystemTemplateForm(
        request.POST or None,
        instance=template,
        system=template.system,
        lines=template.lines,
    )
    made = submitted(
        request, form, template_actions.change_system_template, template_id=template_id
    )
    if made:
        words = f"“{made.title}”, edition {made.number}, is offered from now on."
        return answer_done(request, words, "findings:system-template", template_id=made.pk)
    context = {
        "system": SYSTEMS[template.system],
        "template": template,
        "editions": queries.editions_of(template),
        "may_change": may_somewhere(request.user, Act.EXAMINE) and not template.is_voided,
    }
    return answer_form(request, "findings/system_template.html", context, form)


@require_http_methods(["GET", "POST"])
def void_template(request: StaffRequest, template_id: UUID) -> HttpResponse:
    """Withdraw a template, with the reason."""
    template = queries.template_of(template_id)
    done = f"“{template.title}” is no longer offered."
    said = Confirmation(
        "Withdraw a template",
        f"{done} What was recorded with it stays.",
        "Withdraw the template",
        back=reverse("findings:system-templates"),
        done=done,
        stop=False,
        form_class=VoidForm,
    )
    act = template_actions.void_system_template
    return confirming(request, template, act, said, template_id=template_id)


def routes() -> list[URLPattern]:
    """Return the addresses of the templates."""
    one = "findings/systems/<uuid:template_id>/"
    return [
        path("findings/systems/", templates, name="system-templates"),
        path(one, change_template, name="system-template"),
        path(f"{one}void/", void_template, name="system-template-void"),
        path("findings/systems/<slug:system>/new/", new_template, name="system-template-new"),
    ]
