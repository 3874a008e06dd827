"""The page of the file store: the last check, and what is missing or altered."""

from __future__ import annotations

from uuid import UUID

from django.http import HttpResponse
from django.shortcuts import get_object_or_404, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods

from evidence import store
from evidence.fixity import actions, queries, rules
from evidence.fixity.alarms import wrong_store
from evidence.fixity.forms import ResolveForm
from evidence.fixity.models import FixityProblem
from me_office.accounts.requests import StaffRequest
from me_office.audit import looks
from me_office.shell.forms import answer_done, answer_form, attempt


@require_GET
def file_store(request: StaffRequest) -> HttpResponse:
    """Show the last check of the store and the files that are not whole."""
    actions.require_looker(request.user)
    last = queries.last_finished()
    problems = queries.problems(request.user)
    looks.note_list(request.user, "damaged or missing files", rows=len(problems))
    context = {
        "last": last,
        "runs": queries.runs(),
        "problems": problems,
        "settled": queries.problems(request.user, settled=True),
        "overdue": rules.is_overdue(last.finished_at if last else None, now=timezone.now()),
        "wrong_store": wrong_store(),
        "in_bucket": not store.in_folder(),
    }
    return render(request, "fixity/store.html", context)


@require_http_methods(["GET", "POST"])
def resolve(request: StaffRequest, problem_id: UUID) -> HttpResponse:
    """Settle a missing or altered file, with what was done."""
    actions.require_looker(request.user)
    problem = get_object_or_404(FixityProblem.objects.select_related("file"), pk=problem_id)
    form = ResolveForm(request.POST or None, record=problem)
    if request.method == "POST" and form.is_valid():
        attempt(
            form,
            lambda: actions.resolve_problem(
                request.user, problem_id=problem_id, version=form.version, reason=form.given_reason
            ),
        )
        if not form.errors:
            return answer_done(
                request, "Settled. The next check looks at this file again.", "evidence:store"
            )
    return answer_form(request, "fixity/store_resolve.html", {"problem": problem}, form)
