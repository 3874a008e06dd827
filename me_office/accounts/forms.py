"""Forms of accounts. What opens doors asks for the administrator's own password again."""

from __future__ import annotations

from typing import Any

from django import forms

from me_office.accounts.models import Staff
from me_office.accounts.roles import Role
from me_office.accounts.rules import wrong_username
from me_office.accounts.tries import wrong_own_password
from me_office.audit.errors import TooSoon
from me_office.shell.forms import OfficeForm
from me_office.worded import as_choices

ROLES = as_choices(Role)


class OwnPasswordForm(OfficeForm):
    """Asks for the password of whoever is signed in."""

    own_password = forms.CharField(
        label="Your password",
        help_text="Asked again so that nobody else signs at your keyboard.",
        widget=forms.PasswordInput(attrs={"autocomplete": "current-password"}),
    )

    # Where it is asked, as the record of wrong ones says it.
    place = "keeping accounts"

    def __init__(self, *args: Any, actor: Staff, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.actor = actor

    def clean_own_password(self) -> str:
        """Refuse a wrong password beside its field."""
        try:
            fault = wrong_own_password(
                self.actor, self.cleaned_data["own_password"], place=self.place
            )
        except TooSoon as error:
            fault = error.message
        if fault:
            raise forms.ValidationError(fault)
        return ""

    @property
    def entry(self) -> dict[str, Any]:
        """What the action takes: without the password."""
        return {name: value for name, value in super().entry.items() if name != "own_password"}


class ChangeAccountForm(OwnPasswordForm):
    """How a person is named, and which roles they hold."""

    rows = {"reason": 2}
    display_name = forms.CharField(
        max_length=120, label="Name as printed", help_text="For example: Dr. I. Vasko"
    )
    credentials = forms.CharField(
        max_length=60, required=False, help_text="As printed behind the name: MD"
    )
    job_title = forms.CharField(max_length=120, required=False, label="Job title")
    roles = forms.MultipleChoiceField(
        choices=ROLES,
        widget=forms.CheckboxSelectMultiple,
        help_text="What the person does; one person may have several roles.",
        error_messages={"required": "Choose at least one role."},
    )
    reason = forms.CharField(
        widget=forms.Textarea, label="Reason", help_text="Kept with the change"
    )
    field_order = [
        "username", "display_name", "credentials", "job_title", "roles", "reason", "own_password",
    ]  # fmt: skip

    def clean_roles(self) -> list[Role]:
        """Return the roles themselves."""
        return [Role(name) for name in self.cleaned_data["roles"]]


class OpenAccountForm(ChangeAccountForm):
    """A new account."""

    username = forms.CharField(
        max_length=30,
        label="User name",
        help_text="Typed at sign-in; it cannot be changed later.",
        widget=forms.TextInput(attrs={"autocapitalize": "none", "autocomplete": "off"}),
    )

    def clean_username(self) -> str:
        """Refuse what is no user name beside the field."""
        username: str = self.cleaned_data["username"].strip()
        fault = wrong_username(username)
        if fault:
            raise forms.ValidationError(fault)
        return username


class WhyForm(OwnPasswordForm):
    """The reason for a final act on an account."""

    rows = {"reason": 2}
    reason = forms.CharField(widget=forms.Textarea, label="Reason")
    field_order = ["reason", "own_password"]
