"""The form by which any item is withdrawn."""

from __future__ import annotations

from django import forms

from me_office.shell.forms import OfficeForm


class WithdrawForm(OfficeForm):
    """Why something is withdrawn."""

    reason = forms.CharField(label="Reason", max_length=500, widget=forms.Textarea)
    rows = {"reason": 2}
