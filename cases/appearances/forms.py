"""Forms of a date in court."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils import timezone

from cases.appearances.actions import MOVED_NAMES
from cases.appearances.before import AGAIN, draft_of, runs_into, seen_of
from cases.appearances.models import Appearance
from cases.appearances.rules import AppearanceState, wrong_in_appearance, wrong_in_testimony
from cases.court.models import RecordsRequest
from cases.exhibits.models import ExhibitSet
from cases.forms import named_each, offer
from cases.forms.changed import WHY_CHANGED
from cases.models import Case
from cases.queries.people import staff_holding
from me_office.accounts.models import Staff
from me_office.shell.forms import OfficeForm, RecordForm, long_text


class _AsksBefore(RecordForm):
    """Says once what a date would run into, before it is recorded."""

    seen = forms.CharField(widget=forms.HiddenInput, required=False, max_length=64)
    asks_again = False

    def __init__(self, *args: Any, actor: Staff, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.actor = actor

    def ask_before(self, cleaned: dict[str, Any]) -> None:
        """Put beside the time what it runs into, unless these words were read already."""
        draft = None if self.errors else draft_of(self.instance, self.record_id, cleaned)
        words = runs_into(self.actor, draft) if draft else []
        if words and cleaned.get("seen") != seen_of(words):
            self.asks_again = True
            self.data = self.data.copy()
            self.data["seen"] = seen_of(words)
            place = "begins_at" if "begins_at" in self.fields else "witness"
            self.add_error(place, " ".join([*words, AGAIN]))


class AppearanceForm(_AsksBefore, of=Appearance):
    """When, where, for whom and with what somebody testifies."""

    units = {"expected_minutes": "min"}
    buttons = ("kind",)
    needed = {"court": "required for a hearing or trial"}
    labels = {
        "kind": "Type",
        "witness": "Who goes",
        "expected_minutes": "Expected length",
        "counsel": "Counsel to speak to",
        "leave_at": "Leave at",
        "request": "Subpoena or request",
    }
    widgets = {"called_by": forms.Select}
    help_texts = {
        "expected_minutes": "If empty, the rest of the day counts as taken.",
        "place": "Building and room, or how to join by video.",
        "court": "As it appears on the paper.",
        "cause_number": "Exactly as written.",
        "counsel": "Name and telephone.",
        "leave_at": "The way back is counted as long as the way there.",
        "travel": "Car, parking, who comes along.",
        "request": "One of those logged for this case.",
        "exhibit_set": "The set that will be shown.",
    }

    def __init__(self, *args: Any, case: Case, actor: Staff, all_of_them: bool, **kw: Any) -> None:
        super().__init__(*args, actor=actor, **kw)
        people = staff_holding() if all_of_them else Staff.objects.filter(pk=actor.pk)
        offer(self, "witness", people)
        asked = RecordsRequest.objects.active().filter(case=case)
        offer(self, "request", asked, nobody="none")
        named_each(self, "request", lambda one: one.told_apart)
        offer(self, "exhibit_set", ExhibitSet.objects.active().filter(case=case), nobody="none yet")
        if not self.instance._state.adding:
            del self.fields["begins_at"]

    def clean(self) -> dict[str, Any]:
        """Put what cannot be so beside its field."""
        cleaned: dict[str, Any] = super().clean() or self.cleaned_data
        begins = cleaned.get("begins_at", self.instance.begins_at)
        _say(self, wrong_in_appearance({**cleaned, "begins_at": begins}))
        self.ask_before(cleaned)
        return cleaned


class _ReasonForm(OfficeForm):
    rows = {"reason": 2}
    reason = long_text("Reason", WHY_CHANGED)


class MoveForm(_AsksBefore, of=Appearance):
    """Another time, and why."""

    rows = {"reason": 2}
    labels = {"begins_at": "New time", "leave_at": "Leave at"}
    reason = long_text("Reason", WHY_CHANGED)
    asks = [*MOVED_NAMES]

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        # The earlier time to leave would rarely be right, and after the new one it is refused.
        self.initial["leave_at"] = None

    def clean(self) -> dict[str, Any]:
        """Say beside the new time what it runs into."""
        cleaned: dict[str, Any] = super().clean() or self.cleaned_data
        self.ask_before(cleaned)
        return cleaned


class CancelForm(_ReasonForm):
    """Why it will not take place."""


class TestimonyForm(RecordForm, of=Appearance):
    """How it went."""

    units = {"stand_minutes": "min"}
    rows = {"went": 5, "asked_afterward": 3, "reason": 2}
    stand_minutes = forms.IntegerField(
        label="Time testifying", required=False, help_text="If known."
    )
    went = long_text(
        "How it went",
        "For the office alone: no packet and no released history holds it.",
        required=False,
    )
    asked_afterward = long_text(
        "Asked for afterward",
        "Documents, pictures or a further examination, and by whom.",
        required=False,
    )
    reason = long_text("Reason for the change", WHY_CHANGED)
    asks = []

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name in ("stand_minutes", "went", "asked_afterward"):
            self.initial.setdefault(name, getattr(self.instance, name))
        if self.instance.state != AppearanceState.DONE:
            del self.fields["reason"]

    def clean(self) -> dict[str, Any]:
        """Put what cannot be so beside its field."""
        cleaned: dict[str, Any] = super().clean() or self.cleaned_data
        begins = self.instance.begins_at
        wrong = wrong_in_testimony(cleaned, begins=begins, now=timezone.now())
        _say(
            self, {(name if name in self.fields else None): words for name, words in wrong.items()}
        )
        return cleaned


class SettleForm(OfficeForm):
    """What was done about what was asked for."""

    rows = {"settled": 3}
    settled = long_text("What was done", "To whom it was sent and when, or why nothing is.")


def _say(form: RecordForm, wrong: Any) -> None:
    for name, words in wrong.items():
        if name is None or (name in form.fields and name not in form.errors):
            form.add_error(name, words)
