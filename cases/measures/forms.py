"""The form of one's own daily mail."""

from __future__ import annotations

from cases.measures.models import DailyMail
from me_office.shell.forms import RecordForm


class DailyMailForm(RecordForm, of=DailyMail):
    """Whether what waits is mailed, and to which address."""

    needed = {"address": "required if it is to be sent"}
    labels = {"wanted": "Send me what is waiting, once a day"}
