"""Forms of photographs, specimens and property."""

from __future__ import annotations

import re
from collections.abc import Iterable
from typing import Any, cast

from django import forms
from django.core.files.uploadedfile import UploadedFile

from evidence.models import Photograph, PropertyItem, Specimen
from evidence.pictures import NAMES_OF
from findings.models import Finding
from me_office.accounts.models import Staff
from me_office.accounts.roles import CASE_ROLES
from me_office.audit.errors import Refused
from me_office.shell.forms import OfficeForm, RecordForm
from me_office.shell.moment_field import MomentInput

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
    handed_over_at = forms.DateTimeField(label="Handed over at")
    transfer_place = forms.CharField(label="Place", max_length=160)
    transfer_purpose = forms.CharField(label="Purpose of the transfer", max_length=160)

    def name_people(self) -> None:
        """Fill the choices of people; called once the form's fields are there."""
        choose_staff(self, "collected_by")
        choose_staff(self, "to_staff", nobody=NOBODY)

    def clean(self) -> dict[str, Any]:
        """Ask for a receiver: a person or a place."""
        cleaned: dict[str, Any] = super().clean() or self.cleaned_data
        if not cleaned.get("to_staff") and not cleaned.get("to_party"):
            self.add_error("to_party", "Say who or what received it.")
        return cleaned


class SpecimenForm(RecordForm):
    """What a specimen is."""

    labels = {"site": "Site", "unit": "Unit", "purpose": "Taken for"}

    class Meta:
        model = Specimen
        fields = ["material", "site", "amount", "unit", "container", "preservative", "purpose"]

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        units = list(Specimen._meta.get_field("unit").choices or ())
        choose_from(self, "unit", [("", "no amount"), *units])


class TakeSpecimenForm(HandOver, SpecimenForm):
    """A new specimen with its seal and its first transfer."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.name_people()


class CorrectSpecimenForm(SpecimenForm):
    """A correction to a specimen, with the reason."""

    reason = forms.CharField(label="Reason", max_length=500, widget=forms.Textarea)
    rows = {"reason": 2}


class PropertyForm(RecordForm):
    """What a thing is."""

    rows = {"description": 3}
    labels = {"found_at": "Found", "witnessed_by": "Witnessed by"}

    class Meta:
        model = PropertyItem
        fields = ["description", "found_at", "witnessed_by"]
        help_texts = {
            "description": "What can be seen: a yellow metal ring with a clear stone.",
            "found_at": "On the body, in a pocket, in the vehicle.",
        }


class RecordPropertyForm(HandOver, PropertyForm):
    """A new thing with its seal and its first transfer."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.name_people()


class CorrectPropertyForm(PropertyForm):
    """A correction to a thing, with the reason."""

    reason = forms.CharField(label="Reason", max_length=500, widget=forms.Textarea)
    rows = {"description": 3, "reason": 2}
