"""Fields of forms: the seal of a new item, whoever receives it first, and where that is."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils import timezone

from evidence.items.receivers import WHERE, Where, place_named
from me_office.accounts.models import Staff
from me_office.accounts.requests import StaffRequest
from me_office.accounts.roles import CASE_ROLES
from me_office.shell.forms import ask_one_of, record_field

NOBODY = "No member of staff"


def office_staff() -> Any:
    """Return the people who may hold an item."""
    names = [role.value for role in CASE_ROLES]
    return (
        Staff.objects.filter(is_active=True, groups__name__in=names)
        .distinct()
        .order_by("display_name", "id")
    )


def choose_staff(form: forms.BaseForm, name: str, *, nobody: str = "") -> None:
    """Let a field choose among the people who may hold an item, or nobody if that has words."""
    field = record_field(form, name)
    if nobody:
        field.empty_label = nobody
    field.queryset = office_staff()


def where_field() -> forms.ChoiceField:
    """Where a party or place in words is: what left the office is read from it."""
    return forms.ChoiceField(
        label="Where that party or place is",
        choices=WHERE,
        required=False,
        widget=forms.RadioSelect,
        help_text="Tells whether a specimen left the office. Not for a member of staff.",
    )


def require_where(form: forms.BaseForm, *, purpose: str) -> None:
    """Ask where a receiver is that is no member of staff and bears no name of a place here."""
    said = form.cleaned_data
    party = said.get("to_party") or ""
    if said.get("to_staff") or said.get("to_where") or not party:
        return
    if place_named(party, purpose) is not Where.OFFICE and "to_where" not in form.errors:
        form.add_error("to_where", f"Say whether “{party}” is in this office or outside it.")


def seal_fields() -> tuple[forms.CharField, forms.CharField]:
    """Return the fields of a seal's number, and of why another item bears the same."""
    number = forms.CharField(label="Seal number", max_length=80)
    repeats = forms.CharField(
        label="Why another item has the same number",
        max_length=240,
        required=False,
        help_text="Only if another item has the same number, for example from another vendor.",
    )
    return number, repeats


class HandOver(forms.Form):
    """The seal of a new item and the party that receives it first."""

    collected_at = forms.DateTimeField(label="Collected at")
    collected_by = forms.ModelChoiceField(label="Collected by", queryset=Staff.objects.none())
    seal_number, seal_number_repeats = seal_fields()
    to_staff = forms.ModelChoiceField(
        label="Handed to a member of staff",
        queryset=Staff.objects.none(),
        required=False,
    )
    to_party = forms.CharField(
        label="Handed to another party or place of storage",
        max_length=160,
        required=False,
        help_text="Specimen refrigerator 2; courier of the laboratory.",
    )
    to_where = where_field()
    handed_over_at = forms.DateTimeField(label="Handed over at")
    transfer_place = forms.CharField(label="Place", max_length=160)
    transfer_purpose = forms.CharField(label="Purpose of the transfer", max_length=160)

    def name_people(self) -> None:
        """Fill the choices of people; called once the form's fields are there."""
        choose_staff(self, "collected_by")
        choose_staff(self, "to_staff", nobody=NOBODY)
        ask_one_of(self, "to_staff", "to_party")

    def clean(self) -> dict[str, object]:
        """Ask for a receiver: a person or a place."""
        cleaned: dict[str, object] = super().clean() or self.cleaned_data
        if not cleaned.get("to_staff") and not cleaned.get("to_party"):
            self.add_error("to_party", "Say who or what received it.")
        require_where(self, purpose=str(cleaned.get("transfer_purpose") or ""))
        return cleaned


def hand_over_start(request: StaffRequest) -> dict[str, object]:
    """Return what the form of a new item starts with: now, and the person."""
    now = timezone.now()
    return {
        "collected_by": request.user.pk,
        "collected_at": now,
        "handed_over_at": now,
        "transfer_purpose": "storage",
    }
