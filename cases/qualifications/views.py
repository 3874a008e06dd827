"""Pages of curricula vitae."""

from __future__ import annotations

from collections.abc import Callable
from uuid import UUID

from django.http import HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods

from cases.forms.scene import VoidForm
from cases.qualifications import actions, queries
from cases.qualifications.forms import IssueForm, QualificationForm
from cases.qualifications.models import ListedTestimony, Qualification
from cases.qualifications.printing import file_name, print_curriculum, testified_values
from cases.qualifications.rules import has_run_out, in_force_words, why_not_current
from me_office.accounts.models import Staff
from me_office.accounts.requests import StaffRequest
from me_office.audit import looks
from me_office.audit.errors import NotAllowed
from me_office.shell.confirming import Confirmation, confirming
from me_office.shell.exports import shown_pdf
from me_office.shell.forms import answer_done, answer_form, submitted

PAGE = "qualifications:person"


@require_GET
def curricula(request: StaffRequest) -> HttpResponse:
    """List the staff with the version of each that stands."""
    actions.require_reader(request.user)
    people = queries.people()
    looks.note_list(request.user, "list of curricula vitae", rows=len(people), asked={})
    return render(request, "qualifications/curricula.html", {"people": people})


@require_http_methods(["GET", "POST"])
def person(request: StaffRequest, person_id: UUID) -> HttpResponse:
    """Show a curriculum vitae as it reads now, and its versions; issue the next one."""
    actions.require_reader(request.user)
    shown = queries.person_of(person_id)
    today = timezone.localdate()
    form = IssueForm(request.POST or None, initial={"counted_on": today})
    made = submitted(request, form, actions.issue_curriculum, person_id=person_id)
    if made:
        return answer_done(
            request,
            f"Issued: version {made.number}.",
            f"{reverse(PAGE, args=[person_id])}#version-{made.number}",
        )
    if request.method == "GET":
        looks.note_list(request.user, "curriculum vitae", rows=1, asked={"person": str(shown)})
    may_keep = actions.may_keep(request.user, person_id)
    context = {
        "person": shown,
        "may_keep": may_keep,
        "offered": queries.not_listed(request.user, person_id) if may_keep else (),
    }
    return answer_form(request, "qualifications/person.html", {**context, **_read(shown)}, form)


def _read(shown: Staff) -> dict[str, object]:
    today = timezone.localdate()
    lines = queries.lines_of(shown.pk)
    versions = queries.versions_of([shown.pk])
    heard = queries.testified_of(shown.pk)
    now = queries.content_of(shown, today, lines, heard)
    changed = queries.last_change_of(shown.pk)
    by_kind = {
        kind: [(line, has_run_out(line.kind, line.valid_until, line.to_year, today))
               for line in lines if line.kind == kind]
        for kind, _ in Qualification.KINDS
    }  # fmt: skip
    last = versions[0].version if versions else None
    return {
        "sections": [(one["heading"], by_kind[one["kind"]]) for one in now["sections"]],
        "examinations": now["examinations"],
        "testimony": now["testimony"],
        "testified": testified_values(now["testified"]),
        "heard": heard,
        "versions": [
            (one.version, in_force_words(one.since, one.until), one.until is None)
            for one in versions
        ],
        "not_current": why_not_current(
            counted_on=last.counted_on if last else None,
            changed_since=bool(last and changed and changed > last.created_at),
            runs_out=[one.valid_until for one in lines if one.valid_until and not one.to_year],
            on=today,
            today=today,
        ),
    }


@require_http_methods(["GET", "POST"])
def add(request: StaffRequest, person_id: UUID) -> HttpResponse:
    """Record a line."""
    shown = kept(request, person_id)
    initial = {"kind": request.GET.get("kind", "license")}
    form = QualificationForm(request.POST or None, initial=initial)
    saved = submitted(request, form, actions.record_qualification, person_id=person_id, version=0)
    if saved:
        return answer_done(request, f"Recorded: {saved}.", PAGE, person_id=person_id)
    return answer_form(request, "qualifications/line.html", {"person": shown}, form)


@require_http_methods(["GET", "POST"])
def edit(request: StaffRequest, person_id: UUID, record_id: UUID) -> HttpResponse:
    """Change a line; versions that were issued stay as they are."""
    shown = kept(request, person_id)
    line = queries.line_of(person_id, record_id)
    form = QualificationForm(request.POST or None, instance=line)
    saved = submitted(
        request, form, actions.record_qualification, person_id=person_id, record_id=record_id
    )
    if saved:
        return answer_done(request, f"Saved: {saved}.", PAGE, person_id=person_id)
    context = {"person": shown, "line": queries.line_of(person_id, record_id)}
    return answer_form(request, "qualifications/line.html", context, form)


@require_http_methods(["GET", "POST"])
def withdraw(request: StaffRequest, person_id: UUID, record_id: UUID) -> HttpResponse:
    """Void a line, with the reason."""
    shown = kept(request, person_id)
    line = queries.line_of(person_id, record_id)
    return voiding(request, shown, line, actions.void_qualification)


def voiding(
    request: StaffRequest,
    shown: Staff,
    line: Qualification | ListedTestimony,
    action: Callable[..., object],
) -> HttpResponse:
    """Ask why and void a line of the person's."""
    said = Confirmation(
        "Void a line",
        f"{line} will be voided: later versions leave it out, issued ones keep it.",
        "Void it",
        back=reverse(PAGE, kwargs={"person_id": shown.pk}),
        done=f"Voided: {line}.",
        tab=f"Void a line · {shown}",
        form_class=VoidForm,
    )
    return confirming(request, line, action, said, person_id=shown.pk, record_id=line.pk)


@require_GET
def version_pdf(request: StaffRequest, person_id: UUID, number: int) -> HttpResponse:
    """Answer with a version as PDF, as it was issued."""
    actions.require_reader(request.user)
    version = queries.version_of(person_id, number)
    looks.note_list(
        request.user,
        "curriculum vitae, PDF",
        rows=1,
        asked={"person": str(version.person), "version": str(number)},
    )
    return shown_pdf(print_curriculum(version).pdf, file_name(version))


def kept(request: StaffRequest, person_id: UUID) -> Staff:
    """Return the person whose curriculum vitae is to be changed. Raises NotAllowed, NotKnown."""
    actions.require_reader(request.user)
    shown = queries.person_of(person_id)
    if not actions.may_keep(request.user, person_id):
        raise NotAllowed("A supervisor keeps the curricula vitae of others.")
    return shown
