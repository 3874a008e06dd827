"""Forms of lividity and rigor."""

from __future__ import annotations

from typing import Any

from findings.forms import ReasonedForm, say_nothing
from findings.postmortem.models import Lividity, Rigor


class LividityForm(ReasonedForm, of=Lividity):
    """Lividity of one region."""

    labels = {"state": "Lividity", "blanching": "Thumb pressure"}

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        say_nothing(self.fields["state"], "choose")
        say_nothing(self.fields["blanching"], "not said")


class RigorForm(ReasonedForm, of=Rigor):
    """Rigor of one joint."""

    labels = {"stage": "Rigor"}

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        say_nothing(self.fields["stage"], "choose")
