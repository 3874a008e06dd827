"""Forms of the photograph log."""

from __future__ import annotations

import re
from collections.abc import Iterable
from typing import Any
from uuid import UUID

from django import forms

from evidence.photographs.models import Photograph
from findings.models import Finding
from me_office.audit.errors import Refused
from me_office.shell.forms import OfficeForm, RecordForm, choose_from
from me_office.shell.moment_field import ExactMomentInput


def finding_choices(findings: Iterable[Finding]) -> list[tuple[str, Any]]:
    """Return findings as choices: 3 Contusion, right chest."""
    return [(str(each.pk), f"{each}, {each.place}".rstrip(", ")) for each in findings]


class PhotographForm(RecordForm, of=Photograph):
    """A photograph's line in the log."""

    rows = {"shows": 3}
    labels = {
        "with_scale": "A scale is in the picture",
        "graphic": "Graphic: covered until asked for",
        "shows": "What it shows",
    }
    asks = [
        "shows", "view", "with_scale", "region", "place", "graphic", "photographer", "taken_at",
    ]  # fmt: skip
    widgets = {"view": forms.RadioSelect, "place": forms.RadioSelect}
    help_texts = {
        "shows": "In words, as printed below it in the packet.",
        "graphic": "",
    }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["taken_at"].widget = ExactMomentInput()
        choose_from(self, "view", Photograph.VIEWS)
        choose_from(self, "place", Photograph.PLACES)


class LinkForm(OfficeForm):
    """A finding that a photograph shows."""

    finding = forms.ChoiceField(label="Shows the finding")

    def __init__(self, *args: Any, findings: Any = (), **kwargs: Any) -> None:
        super().__init__(*args, **{"auto_id": "id_link_%s", **kwargs})
        choose_from(self, "finding", [("", "Choose a finding"), *finding_choices(findings)])

    @property
    def beside(self) -> dict[str, Any]:
        """The finding by its key."""
        return {"finding_id": UUID(self.cleaned_data["finding"])}


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
