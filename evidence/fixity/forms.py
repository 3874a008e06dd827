"""Forms of the file store."""

from __future__ import annotations

from django import forms

from me_office.shell.forms import OfficeForm


class ResolveForm(OfficeForm):
    """What was done about a file that is not as it should be."""

    reason = forms.CharField(
        label="What was done about it",
        max_length=500,
        widget=forms.Textarea,
        help_text="Restored from which backup, who compared it, or why it cannot be restored.",
    )
    rows = {"reason": 4}
