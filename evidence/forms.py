"""Forms of photographs, specimens and property."""

from __future__ import annotations

import re
from collections.abc import Iterable
from typing import Any, cast

from django import forms
from django.core.files.uploadedfile import UploadedFile

from evidence import kinds
from evidence.models import Photograph, PropertyItem, Specimen
from evidence.pictures import NAMES_OF
from evidence.receivers import WHERE, Where, place_named
from evidence.suggested import SPECIMEN_WORDS
from findings.models import Finding
from me_office.accounts.models import Staff
from me_office.accounts.roles import CASE_ROLES
from me_office.audit.errors import Invalid, Refused
from me_office.shell.forms import OfficeForm, RecordForm, ask_one_of, say_needed
from me_office.shell.moment_field import MomentInput
from me_office.shell.suggested import suggest

NOBODY = "No member of staff"


def office_staff() -> Any:
    """Return the people who may hold an item."""
    names = [role.value for role in CASE_ROLES]
    return (
        Staff.objects.filter(is_active=True, groups__name__in=names)
        .distinct()
        .order_by("display_name", "id")
    )


def choose_from(form: forms.BaseForm, name: str, choices: list[tuple[str, Any]]) -> None:
    """Give a field of choices what may be chosen."""
    field = cast(forms.ChoiceField, form.fields[name])
    field.choices = choices


def finding_choices(findings: Iterable[Finding]) -> list[tuple[str, Any]]:
    """Return findings as choices: 3 Contusion, right chest."""
    return [(str(each.pk), f"{each}, {each.place}".rstrip(", ")) for each in findings]


def choose_staff(form: forms.BaseForm, name: str, *, nobody: str = "") -> None:
    """Let a field choose among the people who may hold an item, or nobody if that has words."""
    field = cast("forms.ModelChoiceField[Staff]", form.fields[name])
    if nobody:
        field.empty_label = nobody
    field.queryset = office_staff()


class ExactMomentInput(MomentInput):
    """A moment to the second: a camera's clock says more than the minute."""

    face_format = "%Y-%m-%dT%H:%M:%S"

    def __init__(self) -> None:
        super().__init__({"step": "1"})


class PicturesInput(forms.FileInput):
    """Several files at once."""

    allow_multiple_selected = True


class PicturesField(forms.FileField):
    """One or more files; whether they are photographs is decided when they are read."""

    widget = PicturesInput

    def clean(self, data: Any, initial: Any = None) -> list[UploadedFile]:
        """Return the files in the order in which they were chosen."""
        files = data if isinstance(data, list | tuple) else [data] if data else []
        if not files:
            raise forms.ValidationError(self.error_messages["required"], code="required")
        return [super(PicturesField, self).clean(file, initial) for file in files]


class PhotographForm(RecordForm):
    """A photograph's line in the log."""

    rows = {"shows": 3}
    labels = {
        "taken_at": "Taken at",
        "with_scale": "A scale is in the picture",
        "graphic": "Graphic: veiled until asked for",
        "region": "Region",
        "shows": "What it shows",
    }

    class Meta:
        model = Photograph
        fields = [
            "shows", "view", "with_scale", "region", "place", "graphic", "photographer", "taken_at",
        ]  # fmt: skip
        widgets = {"view": forms.RadioSelect, "place": forms.RadioSelect}
        help_texts = {
            "shows": "In words, as they will stand below it in the packet.",
            "graphic": "",
        }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["taken_at"].widget = ExactMomentInput()
        for name in ("view", "place"):
            choose_from(self, name, list(Photograph._meta.get_field(name).choices or ()))


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
        self.fields["taken_at"].help_text = "Empty: as each camera file says."


class LinkForm(OfficeForm):
    """A finding that a photograph shows."""

    finding = forms.ChoiceField(label="Shows the finding")

    def __init__(self, *args: Any, findings: Any = (), **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        choose_from(self, "finding", [("", "Choose a finding"), *finding_choices(findings)])


class OutlineForm(OfficeForm):
    """A pointer or an outline as it was drawn: points of the upright picture, 0 to 1."""

    outline = forms.JSONField(label="Outline", required=False, widget=forms.HiddenInput)


class FindForm(forms.Form):
    """Words to look for in the photograph log."""

    q = forms.CharField(
        label="Find in the log",
        max_length=80,
        required=False,
        widget=forms.TextInput(
            attrs={"type": "search", "autocomplete": "off", "placeholder": "Words or a number"}
        ),
    )


class SeriesForm(OfficeForm):
    """Photographs of the same area, named by their numbers."""

    title = forms.CharField(
        label="Area", max_length=120, help_text="What they all show: right chest."
    )
    photographs = forms.CharField(
        label="Photographs", max_length=200, help_text="Their numbers: 7, 8 and 12."
    )

    @property
    def numbers(self) -> list[int]:
        """The numbers that were typed, each once."""
        found = re.findall(r"\d{1,8}", self.cleaned_data["photographs"])
        return list(dict.fromkeys(int(number) for number in found))

    def require_all(self, wanted: Iterable[int], there: set[int]) -> None:
        """Refuse numbers that no photograph of the case has. Raises Refused."""
        missing = [str(number) for number in wanted if number not in there]
        if missing:
            raise Refused(
                f"There is no photograph {', '.join(missing)} in this case.", field="photographs"
            )


class WithdrawForm(OfficeForm):
    """Why something is withdrawn."""

    reason = forms.CharField(label="Reason", max_length=500, widget=forms.Textarea)
    rows = {"reason": 2}


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


class HandOver(forms.Form):
    """The seal of a new item and the party that receives it first."""

    collected_at = forms.DateTimeField(label="Collected at")
    collected_by = forms.ModelChoiceField(label="Collected by", queryset=Staff.objects.none())
    seal_number = forms.CharField(label="Seal number", max_length=80)
    seal_number_repeats = forms.CharField(
        label="Why the number is on another item too",
        max_length=240,
        required=False,
        help_text="Only where another item bears the same number, as from another vendor.",
    )
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

    def clean(self) -> dict[str, Any]:
        """Ask for a receiver: a person or a place."""
        cleaned: dict[str, Any] = super().clean() or self.cleaned_data
        if not cleaned.get("to_staff") and not cleaned.get("to_party"):
            self.add_error("to_party", "Say who or what received it.")
        require_where(self, purpose=str(cleaned.get("transfer_purpose") or ""))
        return cleaned


OF_OTHERS = ["taken_by", "taken_where", "label_time", "received_from"]


SITE_REASON_HELP = "Only where the site does not go with the sex that is on record."


class SpecimenForm(RecordForm):
    """What a specimen is."""

    labels = {
        "site": "Site",
        "site_reason": "Why the site is right",
        "unit": "Unit",
        "purpose": "Taken for",
    }

    class Meta:
        model = Specimen
        fields = [
            "material", "site", "site_reason", "amount", "unit", "container", "preservative",
            "purpose",
        ]  # fmt: skip
        help_texts = {"site_reason": SITE_REASON_HELP}

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        suggest(self, SPECIMEN_WORDS)
        units = list(Specimen._meta.get_field("unit").choices or ())
        choose_from(self, "unit", [("", "no amount"), *units])


class TakeSpecimenForm(HandOver, SpecimenForm):
    """A new specimen with its seal and its first transfer."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.name_people()


class CorrectSpecimenForm(SpecimenForm):
    """A correction to a specimen, with the reason; of one of others also whose it is."""

    class Meta(SpecimenForm.Meta):
        fields = [*SpecimenForm.Meta.fields, *OF_OTHERS]

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name in OF_OTHERS:
            if self.instance.is_of_others:
                self.fields[name].required = True
            else:
                del self.fields[name]

    reason = forms.CharField(label="Reason", max_length=500, widget=forms.Textarea)
    rows = {"reason": 2}


class PropertyForm(RecordForm):
    """What a thing is, what it is kept as, and where it was found."""

    rows = {"description": 3, "cash_count": 3}
    labels = {
        "category": "What it is",
        "kept_as": "Kept as",
        "found": "Where it was found",
        "found_at": "Place, in words",
        "finding": "Finding that it came from",
        "witnessed_by": "Witnessed by",
    }
    # Not the model's field: a count is typed as lines and kept as pieces and values.
    cash_count = forms.CharField(
        label="Cash by count",
        max_length=400,
        required=False,
        widget=forms.Textarea,
        help_text="A line for each denomination: 3 x 20.00. The total is calculated.",
    )
    cash_currency = forms.CharField(
        label="Currency", max_length=3, required=False, help_text="Three letters: USD."
    )

    class Meta:
        model = PropertyItem
        fields = [
            "category", "kept_as", "description", "found", "found_at", "finding", "witnessed_by",
        ]  # fmt: skip
        widgets = {"kept_as": forms.RadioSelect}
        help_texts = {
            "description": "What can be seen: a yellow metal ring with a clear stone.",
            "found_at": "Left front pocket; wall behind the chair, 96 cm above the floor.",
            "finding": "For what was recovered from a wound.",
            "witnessed_by": "Who counted with you. Cash is counted by two people.",
        }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        case = kwargs.pop("case", None)
        super().__init__(*args, **kwargs)
        there = self.instance if not self.instance._state.adding else None
        if there is None:
            # What nobody has said yet is chosen, not left standing.
            for name in ("category", "kept_as"):
                self.initial.pop(name, None)
                self.fields[name].initial = None
        else:
            self.initial["cash_count"] = kinds.cash_typed(there.cash_count)
            self.initial["cash_currency"] = there.cash_currency
        choose_from(self, "category", [("", "Choose"), *kinds.CATEGORIES])
        choose_from(self, "kept_as", list(kinds.KEPT_AS))
        choose_from(self, "found", [("", "Choose"), *kinds.FOUND])
        self.fields["found"].required = there is None or bool(there.found)
        of_case = case or getattr(there, "case", None)
        finding = cast("forms.ModelChoiceField[Finding]", self.fields["finding"])
        finding.empty_label = "No finding"
        finding.queryset = Finding.objects.filter(case=of_case, voided_at=None)
        say_needed(self, "required for cash", "cash_count", "witnessed_by")

    def clean_cash_count(self) -> list[dict[str, Any]]:
        """Read the count, a line for each denomination."""
        try:
            return kinds.count_of_cash(self.cleaned_data["cash_count"])
        except Invalid as error:
            raise forms.ValidationError(error.errors["cash_count"]) from error

    def clean_cash_currency(self) -> str:
        """Write the currency in capitals."""
        return str(self.cleaned_data["cash_currency"]).strip().upper()


class RecordPropertyForm(HandOver, PropertyForm):
    """A new thing with its seal and its first transfer."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.name_people()


class CorrectPropertyForm(PropertyForm):
    """A correction to a thing, with the reason."""

    reason = forms.CharField(label="Reason", max_length=500, widget=forms.Textarea)
    rows = {"description": 3, "reason": 2}
