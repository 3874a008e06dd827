"""Pages of counting: a date with its steps, the rules, the closures of courts."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from uuid import UUID

from django.http import HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils.http import urlencode
from django.views.decorators.http import require_GET, require_http_methods

from cases.access import Act, may_somewhere, require_role
from cases.counting import actions, queries
from cases.counting.forms import ClosureForm, CountForm, RuleForm
from cases.counting.models import CountingRule, CourtClosure
from cases.counting.rules import entered_of, told_of
from cases.forms.changed import ChangedForm
from findings.calculations.counting_rules import SHIPPED
from findings.forms import VoidForm
from me_office.accounts.requests import StaffRequest
from me_office.audit.errors import known_of_office
from me_office.shell.confirming import Confirmation, confirming
from me_office.shell.forms import answer_done, answer_form, submitted


@dataclass(frozen=True)
class Kind:
    """What the office keeps for counting: how it is read, kept, withdrawn and spoken of."""

    form: type[ChangedForm]
    of: Callable[[UUID], CountingRule | CourtClosure]
    keep: Callable[..., CountingRule | CourtClosure]
    withdraw: Callable[..., CountingRule | CourtClosure]
    template: str
    title: str
    sentence: str
    act: str
    done: str
    back: str


KINDS = {
    "rule": Kind(
        RuleForm, queries.own_rule_of, actions.keep_counting_rule, actions.retire_counting_rule,
        "counting/rule.html", "Retire {}",
        "Nothing will be counted by this rule any more. What was counted by it stays.",
        "Retire the rule", "Retired", "counting:rules",
    ),
    "closure": Kind(
        ClosureForm, queries.closure_of, actions.keep_court_closure,
        actions.withdraw_court_closure, "counting/closure.html", "Withdraw the closure of {}",
        "It will move no day any more. Days that were counted with it are shown.",
        "Withdraw the closure", "Withdrawn", "counting:closures",
    ),
}  # fmt: skip


@require_GET
def count(request: StaffRequest) -> HttpResponse:
    """Count a date by a rule, with its steps; nothing is kept."""
    require_role(request.user, Act.SEE)
    form = CountForm(request.GET if "trigger" in request.GET else None)
    found = None
    if form.is_bound and form.is_valid():
        found = queries.counted(form.asked)
        if found.count.refused:
            form.refuse(found.count)
            found = None
    context = {
        "found": found,
        "counsel": queries.CHECK_WITH_COUNSEL.text,
        "service": queries.NOT_SERVED_BY_IT.text,
    }
    return answer_form(request, "counting/count.html", context, form)


@require_GET
def rules(request: StaffRequest) -> HttpResponse:
    """Show the rules by which days are counted."""
    require_role(request.user, Act.SEE)
    context = {
        "own": queries.own_rules(),
        "shipped": SHIPPED,
        "may_keep": may_somewhere(request.user, Act.KEEP_COUNTING),
    }
    return render(request, "counting/rules.html", context)


@require_GET
def shipped_rule(request: StaffRequest, key: str) -> HttpResponse:
    """Show a rule that comes with the software, whole, with its source."""
    require_role(request.user, Act.SEE)
    rule = known_of_office(SHIPPED.get(key), "rule of counting")
    context = {
        "key": key,
        "rule": rule,
        "facts": told_of(rule),
        "counsel": queries.CHECK_WITH_COUNSEL.text,
        "may_keep": may_somewhere(request.user, Act.KEEP_COUNTING),
    }
    return render(request, "counting/shipped.html", context)


@require_GET
def closures(request: StaffRequest) -> HttpResponse:
    """Show the days on which courts do no business, the latest first."""
    require_role(request.user, Act.SEE)
    page = queries.closure_page(request.GET.get("after", ""))
    context = {
        "rows": page.rows,
        "next_url": f"?{urlencode({'after': page.next_key})}" if page.next_key else "",
        "first_url": "?" if request.GET.get("after") else "",
        "may_keep": may_somewhere(request.user, Act.KEEP_COUNTING),
    }
    return render(request, "counting/closures.html", context)


@require_http_methods(["GET", "POST"])
def add(request: StaffRequest, kind: str) -> HttpResponse:
    """Add a rule or a closure; `like` begins with a rule that comes along."""
    of = KINDS[kind]
    require_role(request.user, Act.KEEP_COUNTING)
    like = SHIPPED.get(request.GET.get("like", "")) if kind == "rule" else None
    form = of.form(request.POST or None, initial=entered_of(like) if like else {})
    made = submitted(request, form, of.keep)
    if made:
        return answer_done(request, f"Saved: {made}.", of.back)
    return answer_form(request, of.template, {"record": None}, form)


@require_http_methods(["GET", "POST"])
def change(request: StaffRequest, record_id: UUID, kind: str) -> HttpResponse:
    """Change a rule of the office's or a closure, with what it was before."""
    of = KINDS[kind]
    require_role(request.user, Act.SEE)
    record = of.of(record_id)
    may_keep = may_somewhere(request.user, Act.KEEP_COUNTING) and not record.is_voided
    form = of.form(request.POST or None, instance=record)
    saved = submitted(request, form, of.keep, record_id=record_id)
    if saved:
        return answer_done(request, f"Saved: {saved}.", of.back)
    record = of.of(record_id)
    context = {
        "record": record,
        "acts": queries.history_of(record),
        "may_keep": may_keep,
        "facts": told_of(record.ruleset) if isinstance(record, CountingRule) else [],
    }
    return answer_form(request, of.template, context, form)


@require_http_methods(["GET", "POST"])
def withdraw(request: StaffRequest, record_id: UUID, kind: str) -> HttpResponse:
    """Retire a rule or withdraw a closure, with the reason."""
    of = KINDS[kind]
    require_role(request.user, Act.KEEP_COUNTING)
    record = of.of(record_id)
    said = Confirmation(
        of.title.format(record),
        of.sentence,
        of.act,
        back=reverse(of.back),
        done=f"{of.done}: {record}.",
        stop=False,
        form_class=VoidForm,
    )
    return confirming(request, record, of.withdraw, said, record_id=record.pk)
