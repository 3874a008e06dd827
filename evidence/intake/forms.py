"""The form by which photographs are added."""

from __future__ import annotations

from typing import Any

from django import forms
from django.core.files.uploadedfile import UploadedFile

from evidence.intake.checking import NAMES_OF
from evidence.photographs.forms import PhotographForm, finding_choices
from me_office.shell.forms import choose_from


class PicturesInput(forms.FileInput):
    """Several files at once."""

    allow_multiple_selected = True


class PicturesField(forms.FileField):
    """One or more files; whether they are photographs is decided when they are read."""

    widget = PicturesInput

    def clean(self, data: object, initial: object = None) -> list[UploadedFile[Any]]:
        """Return the files in the order in which they were chosen."""
        files = data if isinstance(data, list | tuple) else [data] if data else []
        if not files:
            raise forms.ValidationError(self.error_messages["required"], code="required")
        return [super(PicturesField, self).clean(file, initial) for file in files]


class UploadForm(PhotographForm):
    """New photographs, with what is the same for all of them."""

    upload = PicturesField(
        label="Files",
        allow_empty_file=True,
        widget=PicturesInput(attrs={"accept": ",".join([*NAMES_OF, "image/*"])}),
        help_text="JPEG, PNG, TIFF, HEIC, WebP or camera raw, as they come from the camera.",
    )
    finding_ids = forms.MultipleChoiceField(
        label="Shows the findings", required=False, widget=forms.CheckboxSelectMultiple
    )
    field_order = ["upload"]

    def __init__(self, *args: Any, findings: Any = (), **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        choose_from(self, "finding_ids", finding_choices(findings))
        self.fields["taken_at"].help_text = "If empty, taken from each camera file."
