"""Who works on a case, and who alone may see it."""

from __future__ import annotations

from typing import Any

from django import forms

from cases.forms import offer
from cases.models import Case
from cases.queries.people import staff_holding
from me_office.accounts.models import Staff
from me_office.accounts.roles import Role
from me_office.shell.forms import OfficeForm, long_text


class AssignmentForm(OfficeForm):
    """The investigator and the pathologist of a case."""

    investigator = forms.ModelChoiceField(
        queryset=Staff.objects.none(), required=False, empty_label="not assigned"
    )
    pathologist = forms.ModelChoiceField(
        queryset=Staff.objects.none(), required=False, empty_label="not assigned"
    )

    def __init__(self, *args: Any, case: Case, **kwargs: Any) -> None:
        initial = {"investigator": case.investigator_id, "pathologist": case.pathologist_id}
        super().__init__(*args, record=case, initial=initial, **kwargs)
        for name, role in (
            ("investigator", Role.INVESTIGATOR),
            ("pathologist", Role.PATHOLOGIST),
        ):
            offer(self, name, staff_holding(role))
            assigned = getattr(case, name)
            if assigned is not None and not assigned.is_active:
                self.fields[name].help_text = f"{assigned} is assigned; the account is closed."


class RestrictionForm(OfficeForm):
    """Why a case is restricted, and to whom besides those who work on it."""

    members = forms.ModelMultipleChoiceField(
        label="Team members besides you and those assigned",
        queryset=Staff.objects.none(),
        required=False,
        widget=forms.CheckboxSelectMultiple,
    )
    reason = long_text("Why", "Kept permanently with the change.")
    rows = {"reason": 2}

    def __init__(self, *args: Any, case: Case, leave_out: set[Any], **kwargs: Any) -> None:
        super().__init__(*args, record=case, **kwargs)
        others = staff_holding().exclude(pk__in=leave_out)
        offer(self, "members", others)


class TeamMemberForm(OfficeForm):
    """One more person on the team of a restricted case."""

    member = forms.ModelChoiceField(label="Person", queryset=Staff.objects.none())
    reason = long_text("Why", required=False)
    rows = {"reason": 2}

    def __init__(self, *args: Any, leave_out: set[Any], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        others = staff_holding().exclude(pk__in=leave_out)
        offer(self, "member", others)
