"""Forms of exhibit sets, exhibits and redactions."""

from __future__ import annotations

from typing import Any

from django import forms

from cases.court.models import RecordsRequest
from cases.court.queries import requests_of
from cases.exhibits.models import CourtMark, Exhibit, ExhibitSet
from cases.models import Case
from evidence.photographs.models import Photograph
from findings.models import Finding
from me_office.shell.forms import OfficeForm, RecordForm, choose_from, record_field
from me_office.shell.json_text import read_json


class SetForm(RecordForm):
    """What a set is called and what it is for."""

    labels = {
        "title": "Title",
        "court": "Court",
        "cause_number": "Cause number",
        "request": "Request or subpoena it answers",
    }

    class Meta:
        model = ExhibitSet
        fields = ["title", "request", "court", "cause_number"]
        help_texts = {
            "title": "The hearing or the purpose: trial, deposition, meeting with counsel.",
            "request": "One of the requests logged for this case, where there is one.",
            "court": "As it appears on the paper.",
            "cause_number": "Exactly as written.",
        }

    def __init__(self, *args: Any, case: Case, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        keys = [asked.pk for asked in requests_of(case.pk)]
        field = record_field(self, "request")
        field.queryset = RecordsRequest.objects.filter(pk__in=keys)
        field.empty_label = "none"


class ExhibitForm(RecordForm):
    """An exhibit's number, caption and plain words."""

    rows = {"caption": 2, "plain_words": 3}
    labels = {
        "number": "Exhibit number",
        "caption": "Caption",
        "plain_words": "In plain words",
    }

    class Meta:
        model = Exhibit
        fields = ["number", "caption", "plain_words"]
        widgets = {"caption": forms.Textarea, "plain_words": forms.Textarea}
        help_texts = {
            "number": "As the court gives it: 14, 14-A, State’s 3.",
            "caption": "What it shows, in a neutral sentence; no name of the decedent.",
            "plain_words": "For people who do not know the medical terms. If empty, "
            "nothing is shown.",
        }


class AddForm(OfficeForm):
    """The photographs chosen for a set."""

    photograph = forms.TypedMultipleChoiceField(
        label="Photographs",
        error_messages={"required": "Choose at least one photograph."},
    )

    def __init__(self, *args: Any, photographs: list[Photograph], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        choose_from(self, "photograph", [(str(one.pk), str(one)) for one in photographs])


class FilterForm(forms.Form):
    """Which photographs of the log are offered."""

    place = forms.ChoiceField(label="Place", required=False)
    view = forms.ChoiceField(label="View", required=False)
    scale = forms.ChoiceField(
        label="Scale",
        required=False,
        choices=[("", "any"), ("with", "with scale"), ("without", "without scale")],
    )
    finding = forms.ChoiceField(label="Finding", required=False)
    words = forms.CharField(label="Words or number", required=False, max_length=80)

    def __init__(self, *args: Any, findings: list[Finding], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        choices = {
            "place": Photograph.PLACES,
            "view": Photograph.VIEWS,
            "finding": [(str(one.pk), f"{one.number} {one.term}") for one in findings],
        }
        for name, rows in choices.items():
            choose_from(self, name, [("", "any"), *rows])


class MoveForm(OfficeForm):
    """Where an exhibit goes in the order."""

    place = forms.IntegerField(min_value=1, max_value=100_000)


class ReasonForm(OfficeForm):
    """Withdraws a set, an exhibit or a redaction, with the reason."""

    rows = {"reason": 2}
    reason = forms.CharField(
        label="Reason", help_text="Kept permanently, in your name.", widget=forms.Textarea
    )


class RedactionForm(OfficeForm):
    """Regions drawn on a photograph, and why they are hidden."""

    rows = {"reason": 2}
    regions = forms.CharField(
        label="Regions",
        required=False,
        max_length=40_000,
        widget=forms.HiddenInput(attrs={"data-part": "regions"}),
    )
    reason = forms.CharField(
        label="Reason",
        help_text="Why this may not be seen: identity of a bystander, court order with its "
        "date, prejudicial detail. Kept permanently, in your name.",
        widget=forms.Textarea,
    )

    def clean_regions(self) -> Any:
        """Return what was drawn as rows; what they mean is decided with the photograph."""
        return read_entries(self.cleaned_data["regions"])


def read_entries(text: str) -> Any:
    """Return what a script or an address says of regions; raise ValidationError when garbled."""
    try:
        return read_json(text or "[]")
    except (ValueError, RecursionError) as error:
        raise forms.ValidationError("What was drawn could not be read.") from error


class MarkForm(OfficeForm):
    """What was drawn over an exhibit in court, as the courtroom screen sends it."""

    photograph = forms.UUIDField()
    redaction = forms.UUIDField(required=False)
    strokes = forms.CharField(max_length=600_000)
    marked_at = forms.DateTimeField()
    marked_by = forms.ChoiceField(choices=CourtMark.MARKED_BY)

    def clean_strokes(self) -> Any:
        """Return what was drawn as rows; what may be kept of it is the rules' to say."""
        return read_entries(self.cleaned_data["strokes"])

    @property
    def said(self) -> dict[str, Any]:
        """The entry without what was shown."""
        return {name: self.entry[name] for name in ("strokes", "marked_at", "marked_by")}

    @property
    def beside(self) -> dict[str, Any]:
        """Which picture was shown, and in which form."""
        shown, redacted = self.entry["photograph"], self.entry["redaction"]
        return {"photograph_id": shown, "redaction_id": redacted}
