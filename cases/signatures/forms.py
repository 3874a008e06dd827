"""Forms of certificates and of second signatures."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django import forms

from me_office.accounts.forms import OwnPasswordForm
from me_office.accounts.models import Staff
from me_office.shell.forms import choice_field, long_text

# A person's certificate with those above it has a few kilobytes.
LARGEST_FILE = 100_000
TOO_LARGE = "This file is too large for a certificate."


class MakeForm(OwnPasswordForm):
    """Makes the office's own authority."""

    place = "keeping certificates"
    rows = {"reason": 2}
    reason = long_text("Reason", "Kept permanently, in your name.")
    field_order = ["reason", "own_password"]


class IssueForm(MakeForm):
    """Issues a certificate to a person."""

    person_id = forms.ChoiceField(label="Issued to")
    field_order = ["person_id", "reason", "own_password"]

    def __init__(self, *args: Any, people: Sequence[Staff], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        choices = [(str(one.pk), one.printed_name) for one in people]
        choice_field(self, "person_id").choices = [("", "Choose"), *choices]


class _WithFile(forms.Form):
    """Takes a small file."""

    def clean_file(self) -> bytes:
        """Return what the file holds."""
        file = self.cleaned_data["file"]
        if file.size > LARGEST_FILE:
            raise forms.ValidationError(TOO_LARGE)
        content: bytes = file.read()
        return content


class ImportForm(_WithFile, IssueForm):
    """Brings a person's certificate of another authority, with its private key."""

    file = forms.FileField(
        label="PKCS#12 file",
        help_text="The file (.p12 or .pfx) that the person's certificate authority gave out. It "
        "holds the private key; delete your copy afterward.",
    )
    file_password = forms.CharField(
        label="Password of the file",
        required=False,
        strip=False,
        widget=forms.PasswordInput(attrs={"autocomplete": "off"}),
    )
    field_order = ["person_id", "file", "file_password", "reason", "own_password"]

    @property
    def entry(self) -> dict[str, Any]:
        """What the action takes, by its own names."""
        said = super().entry
        return {
            "person_id": said["person_id"],
            "content": said["file"],
            "password": said["file_password"],
        }


class StampsForm(_WithFile, MakeForm):
    """Trusts an authority of time stamps."""

    file = forms.FileField(
        label="Root certificate of the time-stamp authority, PEM",
        help_text="As the authority publishes it. Compare its SHA-256 with what it names to you.",
    )
    field_order = ["file", "reason", "own_password"]

    @property
    def entry(self) -> dict[str, Any]:
        """What the action takes, by its own names."""
        return {"pem": super().entry["file"].decode(errors="replace")}


class SecondForm(OwnPasswordForm):
    """Signs an addendum or amendment as second pathologist."""

    place = "signing a report"
    sha256 = forms.CharField(widget=forms.HiddenInput)
    field_order = ["sha256", "own_password"]
