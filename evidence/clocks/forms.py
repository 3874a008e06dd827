"""Forms of cameras' clocks."""

from __future__ import annotations

from typing import Any

from django import forms
from django.conf import settings

from evidence.clocks.models import CameraClock
from me_office.environment.checks import known_zones
from me_office.shell.forms import RecordForm


class ClockForm(RecordForm, of=CameraClock):
    """How far a camera's clock ran ahead, and to which zone it was set."""

    hours = forms.IntegerField(label="Hours", min_value=0, max_value=87_000, initial=0)
    minutes = forms.IntegerField(label="Minutes", min_value=0, max_value=59, initial=0)
    seconds = forms.IntegerField(label="Seconds", min_value=0, max_value=59, initial=0)
    direction = forms.ChoiceField(
        label="The camera's clock ran",
        choices=[("ahead", "ahead (it showed a later time)"), ("behind", "behind")],
        widget=forms.RadioSelect,
        initial="ahead",
    )
    reason = forms.CharField(label="Reason for the change", max_length=500, required=False)
    labels = {"zone": "Its clock was set to the time zone", "known_from": "How this is known"}
    units = {"hours": "h", "minutes": "min", "seconds": "s"}
    asks = ["zone", "known_from"]
    help_texts = {
        "known_from": "A photographed clock, compared with the office's time at the scene.",
        "zone": "",
    }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        zones = sorted(zone for zone in known_zones() if "/" in zone or zone == "UTC")
        self.fields["zone"] = forms.ChoiceField(
            label=self.labels["zone"],
            choices=[(zone, zone.replace("_", " ")) for zone in zones],
            initial=settings.TIME_ZONE,
        )
        if self.instance._state.adding:
            del self.fields["reason"]
            return
        size = abs(self.instance.ahead_seconds)
        self.fields["hours"].initial = size // 3600
        self.fields["minutes"].initial = size // 60 % 60
        self.fields["seconds"].initial = size % 60
        self.fields["direction"].initial = "ahead" if self.instance.ahead_seconds >= 0 else "behind"

    @property
    def said(self) -> dict[str, Any]:
        """What the action takes: seconds ahead, negative where the clock ran behind."""
        entry = self.entry
        size = entry["hours"] * 3600 + entry["minutes"] * 60 + entry["seconds"]
        ahead = size if entry["direction"] == "ahead" else -size
        return {
            "zone": entry["zone"],
            "known_from": entry["known_from"],
            "ahead_seconds": ahead,
        }
