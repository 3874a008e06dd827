"""The form of a record whose correction is kept with its reason."""

from __future__ import annotations

from typing import Any

from me_office.shell.forms import RecordForm, long_text

WHY_CHANGED = "Kept permanently with the change, in your name."


class ChangedForm(RecordForm):
    """Asks why, where the record was there before."""

    reason = long_text("Reason for the change", WHY_CHANGED)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if self.instance._state.adding:
            del self.fields["reason"]
        else:
            self.fields["reason"].widget.attrs["rows"] = self.rows.get("reason", 2)
