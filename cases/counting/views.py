"""Pages of counting: a date with its steps, the rules, the closures of courts."""

from __future__ import annotations

from uuid import UUID

from django.http import HttpResponse
from django.shortcuts import render
from django.utils.http import urlencode
from django.views.decorators.http import require_GET, require_http_methods

from cases.access import Act, may_somewhere, require_role
from cases.counting import actions, queries
from cases.counting.forms import ClosureForm, CountForm, RuleForm
from cases.counting.rules import entered_of
from findings.calculations.counting_rules import SHIPPED
from findings.forms import VoidForm
from me_office.accounts.requests import StaffRequest
from me_office.shell.forms import answer_done, answer_form, submitted


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


@require_http_methods(["GET", "POST"])
def add_rule(request: StaffRequest) -> HttpResponse:
    """Add a rule of the office's; `like` begins with one that comes along."""
    require_role(request.user, Act.KEEP_COUNTING)
    like = SHIPPED.get(request.GET.get("like", ""))
    initial = entered_of(like) if like else {}
    form = RuleForm(request.POST or None, initial=initial)
    made = submitted(request, form, actions.keep_counting_rule)
    if made:
        return answer_done(request, f"Saved: {made}.", "counting:rules")
    return answer_form(request, "counting/rule.html", {"record": None}, form)


@require_http_methods(["GET", "POST"])
def rule(request: StaffRequest, record_id: UUID) -> HttpResponse:
    """Change a rule of the office's, with what it was before."""
    require_role(request.user, Act.SEE)
    record = queries.own_rule_of(record_id)
    may_keep = may_somewhere(request.user, Act.KEEP_COUNTING) and not record.is_voided
    form = RuleForm(request.POST or None, instance=record)
    saved = submitted(request, form, actions.keep_counting_rule, record_id=record_id)
    if saved:
        return answer_done(request, f"Saved: {saved}.", "counting:rules")
    record = queries.own_rule_of(record_id)
    context = {"record": record, "acts": queries.history_of(record), "may_keep": may_keep}
    return answer_form(request, "counting/rule.html", context, form)


@require_http_methods(["GET", "POST"])
def retire_rule(request: StaffRequest, record_id: UUID) -> HttpResponse:
    """Retire a rule, with the reason."""
    require_role(request.user, Act.KEEP_COUNTING)
    record = queries.own_rule_of(record_id)
    form = VoidForm(request.POST or None, record=record)
    if submitted(request, form, actions.retire_counting_rule, record_id=record_id):
        return answer_done(request, f"Retired: {record}.", "counting:rules")
    context = {
        "title": f"Retire {record}",
        "sentence": "Nothing will be counted by this rule any more. What was counted by it stays.",
        "act": "Retire the rule",
        "back": "counting:rules",
    }
    return answer_form(request, "counting/withdraw.html", context, form)


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
def add_closure(request: StaffRequest) -> HttpResponse:
    """Enter days on which a court does no business."""
    require_role(request.user, Act.KEEP_COUNTING)
    form = ClosureForm(request.POST or None)
    made = submitted(request, form, actions.keep_court_closure)
    if made:
        return answer_done(request, f"Saved: {made}.", "counting:closures")
    return answer_form(request, "counting/closure.html", {"record": None}, form)


@require_http_methods(["GET", "POST"])
def closure(request: StaffRequest, record_id: UUID) -> HttpResponse:
    """Change a closure, with what it was before."""
    require_role(request.user, Act.SEE)
    record = queries.closure_of(record_id)
    may_keep = may_somewhere(request.user, Act.KEEP_COUNTING) and not record.is_voided
    form = ClosureForm(request.POST or None, instance=record)
    saved = submitted(request, form, actions.keep_court_closure, record_id=record_id)
    if saved:
        return answer_done(request, f"Saved: {saved}.", "counting:closures")
    record = queries.closure_of(record_id)
    context = {"record": record, "acts": queries.history_of(record), "may_keep": may_keep}
    return answer_form(request, "counting/closure.html", context, form)


@require_http_methods(["GET", "POST"])
def withdraw_closure(request: StaffRequest, record_id: UUID) -> HttpResponse:
    """Withdraw a closure, with the reason."""
    require_role(request.user, Act.KEEP_COUNTING)
    record = queries.closure_of(record_id)
    form = VoidForm(request.POST or None, record=record)
    if submitted(request, form, actions.withdraw_court_closure, record_id=record_id):
        return answer_done(request, f"Withdrawn: {record}.", "counting:closures")
    context = {
        "title": f"Withdraw the closure of {record}",
        "sentence": "It will move no day any more. Days that were counted with it are shown.",
        "act": "Withdraw the closure",
        "back": "counting:closures",
    }
    return answer_form(request, "counting/withdraw.html", context, form)
