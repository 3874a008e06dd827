"""Forms of lividity and rigor."""

from __future__ import annotations

from typing import Any

from findings.forms import ReasonedForm, say_nothing
from findings.postmortem.actions import LIVIDITY_FIELDS, RIGOR_FIELDS
from findings.postmortem.models import Lividity, Rigor


class LividityForm(ReasonedForm):
    """Lividity of one region."""

    labels = {"state": "Lividity", "blanching": "Thumb pressure"}

    class Meta:
        model = Lividity
        fields = [*LIVIDITY_FIELDS]

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        say_nothing(self.fields["state"], "choose")
        say_nothing(self.fields["blanching"], "not said")


class RigorForm(ReasonedForm):
    """Rigor of one joint."""

    labels = {"stage": "Rigor"}

    class Meta:
        model = Rigor
        fields = [*RIGOR_FIELDS]

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        say_nothing(self.fields["stage"], "choose")
