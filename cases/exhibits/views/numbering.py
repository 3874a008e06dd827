"""Numbering a whole set: what a rule would give, and giving it."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import dataclass
from uuid import UUID

from django.http import HttpResponse
from django.views.decorators.http import require_http_methods

from cases.course import case_frame
from cases.exhibits import actions, queries
from cases.exhibits.forms import NumberRuleForm, NumbersForm
from cases.exhibits.models import Exhibit
from cases.exhibits.numbering import joined_now, numbers_for, rule_now
from cases.exhibits.views.sets import PREPARE, STEP
from me_office.accounts.requests import StaffRequest
from me_office.shell.forms import answer_done, answer_form, submitted


@dataclass(frozen=True)
class Row:
    """An exhibit with the number that it would get."""

    exhibit: Exhibit
    number: str
    joined: bool

    @property
    def changes(self) -> bool:
        """Whether it is another number than it has."""
        return self.number != self.exhibit.number


@require_http_methods(["GET", "POST"])
def numbers(request: StaffRequest, case_id: UUID, set_id: UUID) -> HttpResponse:
    """Show what a rule would give, and number all exhibits of a set."""
    frame = case_frame(request.user, case_id, current=STEP, act=PREPARE)
    shown = queries.set_of(frame.case, set_id)
    exhibits = queries.exhibits_of(shown)
    # The rule by which the set is numbered: opening the page and applying it changes nothing.
    now = rule_now(exhibits[0].number if exhibits else "")
    rule = NumberRuleForm(request.GET if "first" in request.GET else None, initial=now)
    given_back = request.GET.get("as") == "before" and bool(shown.numbers_before)
    rows = _rows(request, exhibits, rule, (shown.numbers_before or {}) if given_back else None)
    form = NumbersForm(request.POST or None, record=shown)
    form.fields["numbers"].initial = json.dumps(
        [
            {"exhibit": str(row.exhibit.pk), "version": row.exhibit.version, "number": row.number}
            for row in rows
        ]
    )
    saved = submitted(request, form, actions.renumber_exhibits, case_id=case_id, set_id=set_id)
    if saved:
        words = "The exhibits are numbered. The numbers page brings the former ones back."
        return answer_done(request, words, "exhibits:set", case_id=case_id, set_id=set_id)
    if form.is_bound:
        # Whatever was refused is looked at anew: the numbers that stand now, with their versions.
        fresh = NumbersForm(record=shown)
        form.data = form.data.copy()
        form.data["numbers"] = form.fields["numbers"].initial
        form.data["version"] = str(fresh.fields["version"].initial)
    context = {
        "frame": frame,
        "exhibit_set": shown,
        "rule": rule,
        "rows": rows,
        "given_back": given_back,
        "can_give_back": bool(shown.numbers_before),
        "changed": sum(row.changes for row in rows),
    }
    return answer_form(request, "exhibits/numbers.html", context, form)


def _rows(
    request: StaffRequest,
    exhibits: Sequence[Exhibit],
    rule: NumberRuleForm,
    before: dict[str, str] | None,
) -> list[Row]:
    own = [one.number for one in exhibits]
    chosen = set(request.GET.getlist("joined"))
    joined = [str(one.pk) in chosen for one in exhibits] if rule.is_bound else joined_now(own)
    if before is not None:
        wanted = [before.get(str(one.pk), one.number) for one in exhibits]
    else:
        said = rule.cleaned_data if rule.is_bound and rule.is_valid() else rule.initial
        wanted = numbers_for(
            joined, prefix=said["before"], first=said["first"], digits=said["digits"]
        )
    return [Row(*each) for each in zip(exhibits, wanted, joined, strict=True)]
