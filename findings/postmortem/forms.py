"""Forms of lividity and rigor."""

from __future__ import annotations

from typing import Any

from findings.forms import reason_field, reason_for_adding, say_nothing
from findings.postmortem.actions import LIVIDITY_FIELDS, RIGOR_FIELDS
from findings.postmortem.models import Lividity, Rigor
from me_office.shell.forms import RecordForm


class LividityForm(RecordForm):
    """Lividity of one region."""

    reason = reason_field()
    labels = {
        "region": "Region",
        "state": "Lividity",
        "colour": "Color",
        "blanching": "Thumb pressure",
        "note": "Note",
    }

    class Meta:
        model = Lividity
        fields = [*LIVIDITY_FIELDS]

    def __init__(self, *args: Any, ended: bool = False, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        say_nothing(self.fields["state"], "choose")
        say_nothing(self.fields["blanching"], "not said")
        if self.instance._state.adding:
            reason_for_adding(self, ended=ended)


class RigorForm(RecordForm):
    """Rigor of one joint."""

    reason = reason_field()
    labels = {"joint": "Joint", "stage": "Rigor", "note": "Note"}

    class Meta:
        model = Rigor
        fields = [*RIGOR_FIELDS]

    def __init__(self, *args: Any, ended: bool = False, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        say_nothing(self.fields["stage"], "choose")
        if self.instance._state.adding:
            reason_for_adding(self, ended=ended)
