"""The form of one's own daily mail."""

from __future__ import annotations

from typing import Any

from cases.measures.actions import NAMES
from cases.measures.models import DailyMail
from me_office.shell.forms import RecordForm, say_needed


class DailyMailForm(RecordForm):
    """Whether what waits is mailed, and to which address."""

    labels = {"wanted": "Send me what waits, once a day", "address": "Mail address"}

    class Meta:
        model = DailyMail
        fields = [*NAMES]

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        say_needed(self, "required if it is to be sent", "address")
