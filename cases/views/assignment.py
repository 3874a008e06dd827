"""Who works on a case, and who alone may see it."""

from __future__ import annotations

from uuid import UUID

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.views.decorators.http import require_http_methods

from cases import actions
from cases.access import Act, may
from cases.course import CaseFrame, case_frame
from cases.forms.assignment import AssignmentForm, RestrictionForm, TeamMemberForm
from cases.forms.scene import VoidForm
from cases.models import Case, TeamMember
from cases.queries import file
from cases.views.confirming import confirms
from me_office.accounts.requests import StaffRequest
from me_office.shell.confirming import Confirmation
from me_office.shell.forms import answer_done, answer_form, attempt, submitted

# Whether it is restricted now: what the act is called, and what will happen.
RESTRICTION_WORDS = {
    False: (
        "Restrict to a named team",
        "This case will be open to its named team only. Nobody else will be able to find "
        "it, even by its number.",
    ),
    True: (
        "Open to all staff",
        "This case will be open to all staff who work on cases, and its team will be dissolved.",
    ),
}


@require_http_methods(["GET", "POST"])
def assignment(request: StaffRequest, case_id: UUID) -> HttpResponse:
    """Show who works on the case; a supervisor assigns."""
    frame = case_frame(request.user, case_id, current="overview")
    form = AssignmentForm(request.POST or None, case=frame.case)
    saved = submitted(request, form, actions.assign_case, case_id=case_id)
    if saved:
        return answer_done(request, "The assignment is saved.", "cases:assignment", case_id=case_id)
    context = {
        "frame": frame,
        "team": file.team_members(frame.case) if frame.case.restricted else [],
        "may_assign": may(request.user, Act.ASSIGN, frame.case),
        "may_restrict": may(request.user, Act.RESTRICT, frame.case),
    }
    return answer_form(request, "cases/assignment.html", context, form)


@require_http_methods(["GET", "POST"])
def restriction(request: StaffRequest, case_id: UUID) -> HttpResponse:
    """Restrict a case to a named team, or open it to all staff again."""
    frame = case_frame(request.user, case_id, current="overview", act=Act.RESTRICT)
    case = frame.case
    named = {request.user.pk, case.investigator_id, case.pathologist_id} - {None}
    form = RestrictionForm(request.POST or None, case=case, leave_out=named)
    if case.restricted:
        del form.fields["members"]
    is_sent = request.method == "POST" and form.is_valid()
    if is_sent and attempt(form, lambda: _restrict(request, frame, form)) is not None:
        return redirect("cases:assignment", case_id=case_id)
    act, sentence = RESTRICTION_WORDS[case.restricted]
    context = {"frame": frame, "act": act, "sentence": sentence}
    return answer_form(request, "cases/restriction.html", context, form)


def _restrict(request: StaffRequest, frame: CaseFrame, form: RestrictionForm) -> object:
    case_id, version, reason = frame.case.pk, form.version, form.given_reason
    if frame.case.restricted:
        opened = actions.unrestrict_case(
            request.user, case_id=case_id, version=version, reason=reason
        )
        messages.success(request, "The case is open to the office's staff again.")
        return opened
    members = form.entry["members"]
    saved = actions.restrict_case(
        request.user, case_id=case_id, version=version, members=members, reason=reason
    )
    messages.success(request, "The case is restricted to its named team.")
    return saved


@require_http_methods(["GET", "POST"])
def add_team_member(request: StaffRequest, case_id: UUID) -> HttpResponse:
    """Add a person to the team of a restricted case."""
    frame = case_frame(request.user, case_id, current="overview", act=Act.RESTRICT)
    on_team = {one.member_id for one in file.team_members(frame.case)}
    form = TeamMemberForm(request.POST or None, leave_out=on_team)
    added = submitted(request, form, actions.add_team_member, case_id=case_id)
    if added:
        return answer_done(
            request, f"{added.member} is on the team.", "cases:assignment", case_id=case_id
        )
    return answer_form(request, "cases/add_team_member.html", {"frame": frame}, form)


def _member(case: Case, record_id: UUID) -> TeamMember:
    return file.entry_of(TeamMember, case, record_id)


@confirms("overview", Act.RESTRICT, _member, actions.remove_team_member)
def remove_team_member(membership: TeamMember) -> Confirmation:
    """Remove a person from the team of a restricted case."""
    return Confirmation(
        "Remove a person from the team",
        f"{membership.member} will no longer be able to find or open this case.",
        "Remove from the team",
        back=reverse("cases:assignment", kwargs={"case_id": membership.case_id}),
        done=f"{membership.member} is off the team.",
        tab="Team",
        in_step=False,
        stop=False,
        form_class=VoidForm,
    )
