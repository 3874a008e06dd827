"""Forms of exhibit sets, exhibits and redactions."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from django import forms
from django.utils import timezone

from cases.court.models import RecordsRequest
from cases.court.queries import requests_of
from cases.exhibits.models import CourtMark, Exhibit, ExhibitRuling, ExhibitSet
from cases.exhibits.numbering import LONGEST_BEFORE
from cases.exhibits.queries import photographs_by_number
from cases.exhibits.rules import wrong_composite
from cases.forms import named_each
from cases.forms.changed import ChangedForm
from cases.models import Case
from evidence.photographs.models import Photograph
from findings.models import Finding
from me_office.shell.forms import OfficeForm, RecordForm, choose_from, long_text, record_field
from me_office.shell.json_text import read_json


class SetForm(RecordForm, of=ExhibitSet):
    """What a set is called and what it is for."""

    labels = {"request": "Request or subpoena it answers"}
    asks = ["title", "request", "court", "cause_number"]
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
        named_each(self, "request", lambda one: one.told_apart)


class ExhibitForm(RecordForm, of=Exhibit):
    """An exhibit's number, caption and plain words."""

    rows = {"caption": 2, "plain_words": 3}
    labels = {"plain_words": "In plain words"}
    widgets = {"caption": forms.Textarea, "plain_words": forms.Textarea}
    help_texts = {
        "number": "As the court gives it: 14, 14-A, State’s 3.",
        "caption": "What it shows, in a neutral sentence; no name of the decedent.",
        "plain_words": "For people who do not know the medical terms. If empty, nothing is shown.",
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


class ComposeForm(OfficeForm):
    """The photographs of one exhibit, by their numbers in the log."""

    photographs = forms.CharField(
        label="Photograph numbers, in order",
        max_length=120,
        help_text="From the photograph log: 9, 10. One photograph, or two, three, four or six in "
        "a grid, from left to right and row by row.",
    )

    def __init__(self, *args: Any, case: Case, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.case = case

    def clean_photographs(self) -> list[UUID]:
        """Return the photographs' keys in this order."""
        said = self.cleaned_data["photographs"].replace(",", " ").split()
        if not all(one.isdecimal() and len(one) < 9 for one in said):
            raise forms.ValidationError("Write the numbers with commas: 9, 10.")
        numbers = [int(one) for one in said]
        if wrong := wrong_composite(numbers):
            raise forms.ValidationError(wrong)
        found = photographs_by_number(self.case, numbers)
        for number in numbers:
            if number not in found:
                raise forms.ValidationError(f"The log has no photograph {number}.")
        return [found[number].pk for number in numbers]


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


class RulingForm(ChangedForm, of=ExhibitRuling):
    """What was ruled on an exhibit."""

    rows = {"ground": 2}
    needed = {"purpose": "for a limited purpose only"}
    labels = {"on_day": "Date", "objected_by": "Objection by"}
    widgets = {"ground": forms.Textarea}
    help_texts = {
        "ruling": "As the court said it. The office draws no conclusion from it.",
        "purpose": "In the court’s words.",
        "objected_by": "The party or counsel who objected, if anyone did.",
        "ground": "As it was stated.",
    }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if self.instance._state.adding:
            self.initial.setdefault("on_day", timezone.localdate())


class OrderForm(OfficeForm):
    """The order of a whole set, and the one that was read."""

    was = forms.CharField(max_length=20_000, widget=forms.HiddenInput)
    order = forms.CharField(max_length=20_000, widget=forms.HiddenInput)

    def clean_was(self) -> list[UUID]:
        """Return the keys as they were read."""
        return _keys(self.cleaned_data["was"])

    def clean_order(self) -> list[UUID]:
        """Return the keys as they are wanted."""
        return _keys(self.cleaned_data["order"])


def _keys(text: str) -> list[UUID]:
    try:
        return [UUID(key) for key in text.split(",")]
    except ValueError as error:
        raise forms.ValidationError("The order could not be read. Load the page again.") from error


class NumberRuleForm(forms.Form):
    """How a set is numbered; asks for a preview, changes nothing."""

    before = forms.CharField(
        label="Before the number", required=False, max_length=LONGEST_BEFORE, strip=False,
        help_text="State’s, D-",
    )  # fmt: skip
    first = forms.IntegerField(label="First number", min_value=0, max_value=99_999)
    digits = forms.IntegerField(label="Digits", min_value=1, max_value=6, help_text="3 writes 014")


class NumbersForm(OfficeForm):
    """The numbers of a whole set as they were previewed."""

    numbers = forms.CharField(max_length=100_000, widget=forms.HiddenInput)

    def clean_numbers(self) -> list[dict[str, Any]]:
        """Return exhibit, version and number of each."""
        rows = read_entries(self.cleaned_data["numbers"])
        wanted = {"exhibit": str, "version": int, "number": str}
        if not isinstance(rows, list) or not all(
            isinstance(row, dict)
            and row.keys() == wanted.keys()
            and all(isinstance(row[name], kind) for name, kind in wanted.items())
            for row in rows
        ):
            raise forms.ValidationError("The numbers could not be read. Preview them again.")
        return rows


class PdfForm(OfficeForm):
    """What a PDF for the courtroom says beside the exhibits' numbers."""

    with_captions = forms.BooleanField(
        label="Captions",
        required=False,
        help_text="Also read aloud in place of the pictures. Without them, the number alone is.",
    )
    with_photograph_numbers = forms.BooleanField(
        label="Photograph numbers", required=False, help_text="The office’s own."
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
    reason = long_text(
        "Reason",
        "Why this may not be seen: identity of a bystander, court order with its "
        "date, prejudicial detail. Kept permanently, in your name.",
    )

    def clean_regions(self) -> Any:
        """Return what was drawn as rows; what they mean is decided with the photograph."""
        return read_entries(self.cleaned_data["regions"])

    @property
    def beside(self) -> dict[str, Any]:
        """What was drawn."""
        return {"entries": self.cleaned_data["regions"]}


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
