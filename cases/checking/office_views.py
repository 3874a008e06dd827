"""Pages of what the office asks of every case: changed, added, returned to as it comes."""

from __future__ import annotations

from django.http import HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.http import require_GET, require_http_methods

from cases.access import Act, may_somewhere, require_role
from cases.checking import actions, queries
from cases.checking.applies import OFFICE_APPLIES
from cases.checking.forms import ChangeOwnCheckForm, CheckForm, OwnCheckForm
from findings.forms import VoidForm
from me_office.accounts.requests import StaffRequest
from me_office.audit.errors import NotKnown
from me_office.shell.confirming import Confirmation, confirming
from me_office.shell.forms import answer_done, answer_form, submitted

# What withdrawing a check is called, and what follows: of one of the office's own, of a change.
OWN_GOES = (
    "Withdraw the check",
    "The check is no longer asked in any case. Answers that were given stay in the history.",
)
CHANGE_GOES = (
    "Ask it as it comes",
    "What the office changed is withdrawn and kept in the history. The check is asked as it comes.",
)


@require_GET
def office_checks(request: StaffRequest) -> HttpResponse:
    """Show every check as the office keeps it."""
    kept = queries.office_checks()
    context = {
        "shipped": [one for one in kept if not one.is_own],
        "own": [(one, OFFICE_APPLIES[one.applies]) for one in kept if one.is_own],
        "may_change": may_somewhere(request.user, Act.KEEP_CHECKS),
        "may_review": may_somewhere(request.user, Act.REVIEW),
    }
    return render(request, "checking/office.html", context)


@require_http_methods(["GET", "POST"])
def add_check(request: StaffRequest) -> HttpResponse:
    """Add a check of the office's own."""
    require_role(request.user, Act.KEEP_CHECKS)
    form = OwnCheckForm(request.POST or None)
    made = submitted(request, form, actions.add_office_check)
    if made:
        return answer_done(request, f"Added: {made}", f"{reverse('checking:office')}#{made.key}")
    return answer_form(request, "checking/add.html", {}, form)


@require_http_methods(["GET", "POST"])
def change_check(request: StaffRequest, key: str) -> HttpResponse:
    """Change a check, with what it was before."""
    require_role(request.user, Act.KEEP_CHECKS)
    shown = queries.office_check(key)
    asked = {"words": shown.words, "level": shown.level}
    kind = ChangeOwnCheckForm if shown.is_own else CheckForm
    form = kind(request.POST or None, instance=shown.row, initial=asked)
    saved = submitted(request, form, actions.change_office_check, key=key)
    if saved:
        return answer_done(request, f"Saved: {saved}", f"{reverse('checking:office')}#{key}")
    context = {"shown": shown, "acts": queries.earlier_changes(key)}
    return answer_form(request, "checking/change.html", context, form)


@require_http_methods(["GET", "POST"])
def withdraw_check(request: StaffRequest, key: str) -> HttpResponse:
    """Ask a check as it comes again, or no longer ask one of the office's own."""
    require_role(request.user, Act.KEEP_CHECKS)
    shown = queries.office_check(key)
    if shown.row is None:
        raise NotKnown("The office has not changed this check.")
    act, sentence = OWN_GOES if shown.is_own else CHANGE_GOES
    said = Confirmation(
        act,
        sentence,
        act,
        back=reverse("checking:office"),
        done="Withdrawn; the history keeps it.",
        intro=shown.words,
        tab=f"Withdraw: {shown.words} · What the office checks",
        stop=False,
        form_class=VoidForm,
    )
    return confirming(request, shown.row, actions.withdraw_office_check, said, key=key)
