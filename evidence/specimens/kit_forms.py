"""The form by which a kit or tray is recorded."""

from __future__ import annotations

from typing import Any

from django import forms
from django.db.models import QuerySet

from evidence.custody.opening_fields import HandOver
from evidence.items import kinds
from evidence.specimens.forms import SITE_REASON_HELP
from evidence.specimens.models import Kit
from evidence.specimens.suggested import SPECIMEN_WORDS
from me_office.audit.errors import Invalid
from me_office.shell.forms import OfficeForm, RecordForm, record_field
from me_office.shell.suggested import suggest


class RecordKitForm(HandOver, RecordForm, of=Kit):
    """Several specimens under one seal, a line for each."""

    rows = {"parts": 8}
    parts = forms.CharField(
        label="Parts",
        max_length=12_000,
        widget=forms.Textarea,
        help_text="A line for each, what it is and from where: A1: Heart, left ventricle, or: "
        "Swabs, mouth. Lines without a label are numbered.",
    )
    site_reason = forms.CharField(
        label="Why a site is right", max_length=240, required=False, help_text=SITE_REASON_HELP
    )
    container = forms.CharField(
        label="Container of each", max_length=120, help_text="Cassette; swab box; gray-top tube."
    )
    preservative = forms.CharField(label="Preservative", max_length=120, required=False)
    purpose = forms.CharField(label="Taken for", max_length=120, required=False)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        suggest(self, SPECIMEN_WORDS)
        self.name_people()

    @property
    def beside(self) -> dict[str, Any]:
        """Each part is a specimen of its own."""
        return {"parts": self.cleaned_data["parts"]}

    def clean_parts(self) -> list[dict[str, str]]:
        """Read the parts, a line for each."""
        try:
            return kinds.parts_of(self.cleaned_data["parts"])
        except Invalid as error:
            raise forms.ValidationError(error.errors["parts"]) from error

    @property
    def entry(self) -> dict[str, Any]:
        """What the action takes beside the parts."""
        return {name: value for name, value in super().entry.items() if name != "parts"}


class KitField(forms.ModelChoiceField):  # type: ignore[type-arg]
    """Chooses a kit, each by its item's number."""

    def label_from_instance(self, obj: Kit) -> str:
        """Return what stands in the list."""
        return f"Item {obj.item.number}, {obj}"


class MovePartForm(OfficeForm):
    """The kit that a part is in, where it was recorded in another."""

    kit = KitField(label="Kit or tray it belongs to", queryset=Kit.objects.none())
    label = forms.CharField(
        label="Label in that kit",
        max_length=20,
        required=False,
        help_text="If empty, it stays as it is.",
    )
    reason = forms.CharField(label="Reason", max_length=500, widget=forms.Textarea)
    rows = {"reason": 2}

    def __init__(self, *args: Any, kits: QuerySet[Kit], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        record_field(self, "kit").queryset = kits

    @property
    def beside(self) -> dict[str, Any]:
        """The kit by its key."""
        return {"kit_id": self.cleaned_data["kit"].pk}


class TakePartOutForm(HandOver, OfficeForm):
    """The seal and the first transfer of a part that was never in its kit."""

    reason = forms.CharField(label="Reason", max_length=500, widget=forms.Textarea)
    rows = {"reason": 2}

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.name_people()
