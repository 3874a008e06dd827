"""Pages of the office's grounds and of the rules by which decisions are proposed."""

from __future__ import annotations

from uuid import UUID

from django.http import HttpResponse
from django.urls import reverse
from django.views.decorators.http import require_http_methods

from cases.access import Act, may_somewhere, require_role
from cases.decisions import actions, queries
from cases.decisions.forms import GroundForm, ReplaceGroundForm, RuleForm
from cases.decisions.models import ProposalRule
from cases.decisions.proposal_rules import RULES, RULES_BY_KEY
from me_office.accounts.requests import StaffRequest
from me_office.audit.errors import known_of_office
from me_office.audit.fields import said_of
from me_office.shell.confirming import Confirmation, confirming
from me_office.shell.forms import answer_done, answer_form, submitted

PAGE = "decisions:grounds"


@require_http_methods(["GET", "POST"])
def grounds(request: StaffRequest) -> HttpResponse:
    """Show the office's list of grounds and the rules of proposals; add a ground."""
    require_role(request.user, Act.SEE)
    form = GroundForm(request.POST or None, initial={"number": queries.next_ground_number()})
    saved = submitted(request, form, actions.add_ground)
    if saved:
        return answer_done(request, f"Added: {saved}.", PAGE)
    now = queries.rules_now()
    context = {
        "grounds": queries.grounds(),
        "earlier": queries.earlier_grounds(),
        "rules": [(rule, now[rule.key]) for rule in RULES],
        "may_keep": may_somewhere(request.user, Act.KEEP_CLERK_LISTS),
    }
    return answer_form(request, "decisions/grounds.html", context, form)


@require_http_methods(["GET", "POST"])
def replace_ground(request: StaffRequest, record_id: UUID) -> HttpResponse:
    """Put another wording in the place of a ground."""
    require_role(request.user, Act.KEEP_CLERK_LISTS)
    ground = queries.ground_of(record_id)
    names = ("words", "citation", "approved_by", "approved_on")
    initial = {**said_of(ground, names), "version": ground.version}
    form = ReplaceGroundForm(request.POST or None, initial=initial)
    saved = submitted(request, form, actions.replace_ground, ground_id=record_id)
    if saved:
        return answer_done(request, f"Replaced: {saved}.", PAGE)
    context = {
        "title": f"Replace ground {ground.number}",
        "intro": "What was decided on it goes on saying it as it was. The number stays.",
        "save_label": "Replace it",
    }
    return answer_form(request, "decisions/list_form.html", context, form)


@require_http_methods(["GET", "POST"])
def withdraw_ground(request: StaffRequest, record_id: UUID) -> HttpResponse:
    """Take a ground out of the list."""
    require_role(request.user, Act.KEEP_CLERK_LISTS)
    ground = queries.ground_of(record_id)
    title, back = f"Withdraw ground {ground.number}", reverse(PAGE)
    said = Confirmation(
        title,
        f"“{ground.words}” can no longer be chosen. Where it was, it still stands.",
        "Withdraw it",
        back=back,
        done=f"Withdrawn: {ground}.",
        tab=f"{title} · Grounds",
        up=("Grounds", back),
        stop=False,
    )
    return confirming(request, ground, actions.withdraw_ground, said, record_id=record_id)


@require_http_methods(["GET", "POST"])
def rule(request: StaffRequest, key: str) -> HttpResponse:
    """Switch a rule on or off, and name its ground."""
    require_role(request.user, Act.KEEP_CLERK_LISTS)
    known = known_of_office(RULES_BY_KEY.get(key), "rule")
    standing = ProposalRule.objects.active().filter(key=key).first()
    form = RuleForm(request.POST or None, instance=standing, on_a_ground=known.outcome is not None)
    if submitted(request, form, actions.set_proposal_rule, key=key):
        return answer_done(request, f"Saved: {known.title}.", PAGE)
    proposes = known.outcome.value if known.outcome else "a person must look"
    context = {
        "title": known.title,
        "intro": f"Proposes: {proposes}. A person decides in any case.",
        "save_label": "Save",
    }
    return answer_form(request, "decisions/list_form.html", context, form)
