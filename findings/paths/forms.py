"""The form of a wound path. Distances from the midline are typed without sign, with their side."""

from __future__ import annotations

from typing import Any

from django import forms

from findings.forms import ReasonedForm, say_nothing, signed
from findings.models import Finding
from findings.paths.actions import PATH_FIELDS
from findings.paths.models import WoundPath
from me_office.shell.forms import record_field

SIDES = [("", "from the finding"), ("left", "left"), ("right", "right"), ("in", "in the midline")]
ENDS = ("entrance", "end")


def _distance() -> forms.DecimalField:
    return forms.DecimalField(required=False, min_value=0, max_value=150, decimal_places=1)


def _side() -> forms.ChoiceField:
    return forms.ChoiceField(required=False, choices=SIDES)


class WoundPathForm(ReasonedForm, of=WoundPath):
    """The path of a wound; coordinates left empty follow from the findings."""

    entrance_midline_cm, end_midline_cm = _distance(), _distance()
    entrance_side, end_side = _side(), _side()
    units = dict.fromkeys(
        (
            "entrance_above_heel_cm",
            "entrance_midline_cm",
            "end_above_heel_cm",
            "end_midline_cm",
            "depth_cm",
        ),
        "cm",
    )
    rows = {"structures": 4}
    labels = {
        "structures": "Goes through, in order",
        "exit_finding": "The exit is finding",
        "end_words": "Where it ends, and what was recovered",
        "entrance_above_heel_cm": "Entrance above the heel",
        "entrance_midline_cm": "Entrance from the midline",
        "entrance_side": "Side of the entrance",
        "end_above_heel_cm": "End above the heel",
        "end_midline_cm": "End from the midline",
        "end_side": "Side of the end",
        "depth_cm": "Depth",
        "depth_way": "Direction of the depth",
    }
    asks = [name for name in PATH_FIELDS if not name.endswith("from_midline_cm")]
    help_texts = {
        "structures": "One structure per line, starting at the entrance.",
        "end_words": "Exact place, object and its state.",
        "depth_cm": "How far the end lies behind or in front of the entrance.",
    }

    def __init__(self, *args: Any, finding: Finding, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        others = Finding.objects.active().filter(case=finding.case_id).exclude(pk=finding.pk)
        record_field(self, "exit_finding").queryset = others.order_by("number")
        record_field(self, "exit_finding").empty_label = "no finding of its own"
        say_nothing(self.fields["depth_way"], "not measured")
        say_nothing(self.fields["ends_as"], "choose")
        for end in ENDS:
            for name in (f"{end}_midline_cm", f"{end}_side"):
                self.fields[name].initial = getattr(self.instance, name)

    def clean(self) -> dict[str, Any] | None:
        """A distance from the midline needs its side, a depth its direction."""
        cleaned = super().clean()
        got = self.cleaned_data
        for end in ENDS:
            distance, side = got.get(f"{end}_midline_cm"), got.get(f"{end}_side")
            if distance is not None and not side:
                self.add_error(f"{end}_side", "Say on which side.")
            if distance is None and side in ("left", "right"):
                self.add_error(f"{end}_midline_cm", "Give the distance.")
        if got.get("depth_cm") is not None and not got.get("depth_way"):
            self.add_error("depth_way", "Say front to back, or back to front.")
        if got.get("depth_cm") is None and got.get("depth_way"):
            self.add_error("depth_cm", "Give the depth; 0 when both lie at the same depth.")
        return cleaned

    @property
    def said(self) -> dict[str, Any]:
        """The entry as the action takes it: distances signed, positive to the left."""
        said = dict(self.entry)
        for end in ENDS:
            distance, side = said.pop(f"{end}_midline_cm"), said.pop(f"{end}_side")
            said[f"{end}_from_midline_cm"] = signed(distance, side)
        return said
