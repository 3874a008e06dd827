"""Forms of specimens."""

from __future__ import annotations

from typing import Any

from django import forms

from evidence.custody.opening_fields import HandOver
from evidence.specimens.models import Specimen
from evidence.specimens.suggested import SPECIMEN_WORDS
from me_office.shell.forms import RecordForm, choose_from
from me_office.shell.suggested import suggest

OF_OTHERS = ["taken_by", "taken_where", "label_time", "received_from"]
SITE_REASON_HELP = "Only if the site does not match the recorded sex."


class SpecimenForm(RecordForm, of=Specimen):
    """What a specimen is."""

    labels = {"purpose": "Taken for"}
    asks = [
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

    asks = [*SpecimenForm.asks, *OF_OTHERS]

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name in OF_OTHERS:
            if self.instance.is_of_others:
                self.fields[name].required = True
            else:
                del self.fields[name]

    reason = forms.CharField(label="Reason", max_length=500, widget=forms.Textarea)
    rows = {"reason": 2}
