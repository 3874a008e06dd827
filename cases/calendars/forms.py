"""Forms of leave, feeds and what they may say."""

from __future__ import annotations

from typing import Any

from django import forms

from cases.calendars.actions import keeps_all_leave
from cases.calendars.models import Leave
from cases.calendars.rules import wrong_in_leave
from cases.forms.changed import ChangedForm
from me_office.accounts.models import Staff
from me_office.accounts.roles import CASE_ROLES
from me_office.shell.forms import OfficeForm, long_text, record_field


class LeaveForm(ChangedForm, of=Leave):
    """Days on which somebody is away."""

    wrong = staticmethod(wrong_in_leave)
    rows = {"reason": 2}
    labels = {"person": "Who is away"}
    help_texts = {"why": "Everybody in the office reads it; leave it empty if you like."}

    def __init__(self, *args: Any, actor: Staff, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        people = Staff.objects.filter(is_active=True, groups__name__in=[*CASE_ROLES]).distinct()
        if not keeps_all_leave(actor):
            people = people.filter(pk=actor.pk)
        record_field(self, "person").queryset = people.order_by("display_name", "pk")
        self.initial.setdefault("person", actor.pk)


class FeedForm(OfficeForm):
    """Opens a feed under a new address."""


class NamesForm(OfficeForm):
    """Whether feeds name decedents."""

    rows = {"reason": 2}
    named = forms.BooleanField(
        required=False,
        label="Calendars name decedents",
        help_text="Otherwise an event has the case number alone. A calendar is read by programs "
        "and services outside the office.",
    )
    reason = long_text("Reason for the change")
