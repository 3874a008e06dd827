"""Forms of a finding and what hangs on it. Sizes are entered in cm and kept in mm."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from django import forms

from findings.actions import INTERPRETATION_FIELDS, LAYER_FIELDS, OWN_FIELDS
from findings.forms.reason import reason_field, reason_for_adding, say_nothing
from findings.models import Finding, Interpretation, LayerFinding
from findings.rules import END_WORDS, FAR_ENDS, MarkKind, PathEnd, Strength
from findings.words.layers import NO_LONGER_OFFERED
from findings.words.vocabulary import COLOR_CAUTION
from findings.words.wounds import RANGE_WORDS, WOUND_FIELDS
from me_office.shell.forms import OfficeForm, RecordForm, choice_field, choices_of
from me_office.shell.json_text import read_json

MIDLINES = [
    ("", "not measured"),
    ("right of anterior", "right of the anterior midline"),
    ("left of anterior", "left of the anterior midline"),
    ("in anterior", "in the anterior midline"),
    ("right of posterior", "right of the posterior midline"),
    ("left of posterior", "left of the posterior midline"),
    ("in posterior", "in the posterior midline"),
]
SIZES = ("length", "width", "depth")
_IN_CM = tuple(f"{size}_mm" for size in SIZES)
_WOUND_CHOICES = ("first_end", "second_end", "soot", "stippling")


MARK_ONLY = ("far_end", "count_low", "count_high")
COUNT_LABELS = {"count_low": "Marks, at least", "count_high": "Marks, at most"}


def far_end_field() -> forms.ChoiceField:
    """What the second place of a pair is."""
    ends = [(one.value, END_WORDS[one]) for one in FAR_ENDS]
    return forms.ChoiceField(required=False, choices=ends)


def count_fields() -> tuple[forms.IntegerField, forms.IntegerField]:
    """How many marks a pattern has, at least and at most."""
    low = forms.IntegerField(required=False, min_value=1, max_value=10_000)
    high = forms.IntegerField(
        required=False,
        min_value=1,
        max_value=10_000,
        help_text="Leave empty if it cannot be determined.",
    )
    return low, high


class FindingForm(RecordForm):
    """A finding, with marks from the chart if it was used."""

    length_cm = forms.DecimalField(
        required=False, min_value=Decimal("0.01"), max_value=300, decimal_places=2
    )
    width_cm = forms.DecimalField(
        required=False, min_value=Decimal("0.01"), max_value=300, decimal_places=2
    )
    depth_cm = forms.DecimalField(
        required=False, min_value=Decimal("0.01"), max_value=100, decimal_places=2
    )
    above_heel_cm = forms.DecimalField(required=False, min_value=0, max_value=300, decimal_places=1)
    midline_cm = forms.DecimalField(required=False, min_value=0, max_value=150, decimal_places=1)
    midline_where = forms.ChoiceField(required=False, choices=MIDLINES)
    sentence_checked = forms.BooleanField(required=False)
    marks = forms.CharField(required=False, widget=forms.HiddenInput)
    far_end = far_end_field()
    count_low, count_high = count_fields()
    reason = reason_field()
    units = {
        **dict.fromkeys(("length_cm", "width_cm", "depth_cm", "above_heel_cm", "midline_cm"), "cm"),
        **dict.fromkeys((name for name in WOUND_FIELDS if name.endswith("_mm")), "mm"),
        "clock_hour": "o'clock",
    }
    rows = {"seen_as": 2, "sentence": 3}
    labels = {
        **COUNT_LABELS,
        "far_end": "The far end",
        "klass": "Class",
        "term": "Term",
        "mechanism": "Mechanism",
        "place": "Place",
        "length_cm": "Length",
        "width_cm": "Width",
        "depth_cm": "Depth",
        "measured_by": "Measured by",
        "seen_as": "Seen as",
        "shape": "Shape",
        "margins": "Margins",
        "colour": "Color",
        "pattern": "Pattern",
        "vital_reaction": "Vital reaction",
        "clock_hour": "First end points to",
        "first_end": "First end",
        "second_end": "Opposite end",
        "closed_length_mm": "Length, edges together",
        "ring_12_mm": "Ring at 12 o'clock",
        "ring_3_mm": "Ring at 3 o'clock",
        "ring_6_mm": "Ring at 6 o'clock",
        "ring_9_mm": "Ring at 9 o'clock",
        "soot": "Soot",
        "soot_across_mm": "Soot, across",
        "soot_down_mm": "Soot, head to foot",
        "stippling": "Stippling",
        "stippling_across_mm": "Stippling, across",
        "stippling_down_mm": "Stippling, head to foot",
        "timing": "Before or after death",
        "timing_ground": "Ground for the timing",
        "impacts_kind": "Impacts",
        "impacts": "How many",
        "impacts_reason": "Reason",
        "impact_group": "Same impact as",
        "above_heel_cm": "Above the heel",
        "midline_cm": "From the midline",
        "midline_where": "Side",
        "sentence": "Own text for the report",
        "sentence_checked": "This text still fits the data",
    }

    class Meta:
        model = Finding
        fields = [*(name for name in OWN_FIELDS if name not in _IN_CM), "place"]
        widgets = {
            "term": forms.TextInput(attrs={"list": "terms-all", "autocomplete": "off"}),
            "mechanism": forms.TextInput(attrs={"list": "mechanisms", "autocomplete": "off"}),
            "seen_as": forms.Textarea,
        }
        help_texts = {
            "term": "",
            "mechanism": "",
            "place": "If empty, it follows the mark.",
            "seen_as": "In your words; start with the color unless it is given below.",
            "colour": COLOR_CAUTION,
            "clock_hour": "The hour on a clock face with 12 toward the head.",
            "impact_group": "Use the same letter for findings that one impact may have left.",
            "sentence": "Only if the standard sentence does not fit.",
        }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        standing = self.instance
        for name in ("klass", "measured_by", "timing", "impacts_kind", *_WOUND_CHOICES):
            say_nothing(self.fields[name], "" if name == "klass" else "not said")
        for name in (*[f"{size}_cm" for size in SIZES], "midline_cm", "midline_where"):
            self.fields[name].initial = _shown(getattr(standing, name))
        self.fields["above_heel_cm"].initial = standing.above_heel_cm
        if standing.position_source == "derived":
            for name in ("above_heel_cm", "midline_cm", "midline_where"):
                self.fields[name].initial = None
        if standing.place_source == "derived":
            self.initial["place"] = ""
        if standing._state.adding:
            del self.fields["reason"], self.fields["sentence_checked"]
        else:
            for name in ("marks", *MARK_ONLY):
                del self.fields[name]

    @property
    def drawn(self) -> list[dict[str, Any]]:
        """The marks that were drawn for a new finding, with what was typed of them."""
        typed = self.cleaned_data
        drawn = []
        for mark in typed.get("marks") or []:
            more: dict[str, Any] = {}
            if mark.get("kind") == MarkKind.PATTERN:
                more = {"count_low": typed["count_low"], "count_high": typed["count_high"]}
            elif mark.get("end") in FAR_ENDS and typed["far_end"]:
                more = {"end": typed["far_end"]}
            drawn.append({**mark, **more})
        return drawn

    @property
    def beside(self) -> dict[str, Any]:
        """A new finding comes with its marks."""
        return {"marks": self.drawn}

    def clean_marks(self) -> list[dict[str, Any]]:
        """Read the marks that the chart drew."""
        return marks_from(self.cleaned_data["marks"] or "[]")

    @property
    def said(self) -> dict[str, Any]:
        """The entry as the action takes it: sizes in mm, the midline signed."""
        said = dict(self.entry)
        for name in ("marks", *MARK_ONLY):
            said.pop(name, None)
        for size in SIZES:
            value = said.pop(f"{size}_cm")
            said[f"{size}_mm"] = None if value is None else value * 10
        distance, where = said.pop("midline_cm"), said.pop("midline_where")
        side, _, midline = where.partition(" of ") if " of " in where else where.partition(" ")
        said["midline"] = midline
        said["below_top_cm"] = None
        said["from_midline_cm"] = signed(distance, side)
        return said

    def clean(self) -> dict[str, Any] | None:
        """A distance from the midline needs its side, and a side its distance."""
        cleaned = super().clean()
        distance = self.cleaned_data.get("midline_cm")
        where = self.cleaned_data.get("midline_where") or ""
        if distance is not None and not where:
            self.add_error("midline_where", "Say on which side of which midline.")
        if distance is None and where and not where.startswith("in "):
            self.add_error("midline_cm", "Give the distance.")
        return cleaned

    def _show_both_texts(self, record: Any) -> None:
        super()._show_both_texts(record)
        # A field left empty follows the mark; that is no difference from what the mark gave.
        derived = {"place"} if record.place_source == "derived" else set()
        if record.position_source == "derived":
            derived |= {"above_heel_cm", "midline_cm", "midline_where"}
        self.stale = [one for one in self.stale if one.typed or one.name not in derived]

    def _add(self, name: str | None, message: str) -> None:
        if name in _IN_CM:
            name = f"{name.removesuffix('_mm')}_cm"
        super()._add(name, message)


def _shown(value: object) -> Any:
    return value.normalize() if isinstance(value, Decimal) else value


def signed(distance: Decimal | None, side: str) -> Decimal | None:
    """Return a distance from the midline, positive to the left."""
    if side == "in":
        return Decimal(0)
    if distance is None:
        return None
    return distance if side == "left" else -distance


def marks_from(text: str) -> list[dict[str, Any]]:
    """Read marks as the chart sends them. Raises ValidationError."""
    wrong = forms.ValidationError("The marks could not be read. Draw them again.")
    try:
        marks = read_json(text)
    except ValueError as error:
        raise wrong from error
    if not isinstance(marks, list) or not all(isinstance(mark, dict) for mark in marks):
        raise wrong
    field = forms.UUIDField()
    return [{**mark, "id": field.clean(mark.get("id"))} for mark in marks]


class MarkForm(OfficeForm):
    """A mark of a finding that stands; drawn on the chart."""

    view = forms.CharField(max_length=24, widget=forms.HiddenInput)
    kind = forms.CharField(max_length=10, widget=forms.HiddenInput)
    points = forms.CharField(
        widget=forms.HiddenInput, error_messages={"required": "Place the mark on the chart."}
    )
    end = forms.ChoiceField(
        required=False,
        label="This place is",
        choices=[(one.value, END_WORDS[one]) for one in PathEnd],
    )
    count_low, count_high = count_fields()
    reason = reason_field()
    labels = COUNT_LABELS

    def clean(self) -> dict[str, Any] | None:
        """Only a pair has an end, only a pattern has a count."""
        cleaned = super().clean()
        kind = self.cleaned_data.get("kind")
        if kind != MarkKind.PAIRED:
            self.cleaned_data["end"] = ""
        if kind != MarkKind.PATTERN:
            self.cleaned_data |= {"count_low": None, "count_high": None}
        return cleaned

    def clean_points(self) -> Any:
        """Read the points that the chart drew."""
        try:
            return read_json(self.cleaned_data["points"])
        except ValueError as error:
            raise forms.ValidationError("Draw the mark again.") from error


class LayerForm(RecordForm):
    """One layer under a finding."""

    examined = forms.TypedChoiceField(
        choices=[("True", "examined"), ("False", "not examined")],
        coerce=lambda value: value == "True",
        widget=forms.RadioSelect,
        initial="True",
    )
    reason = reason_field()
    labels = {"layer": "Layer", "examined": "Examined", "found": "Found"}

    class Meta:
        model = LayerFinding
        fields = [*LAYER_FIELDS]
        widgets = {"found": forms.TextInput(attrs={"list": "layer-words"})}
        help_texts = {"found": "State negatives too: no hemorrhage, no fracture."}

    def __init__(self, *args: Any, ended: bool = False, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        choice_field(self, "layer").choices = [
            (value, words)
            for value, words in choices_of(self, "layer")
            if value not in NO_LONGER_OFFERED or value == self.instance.layer
        ]
        if self.instance._state.adding:
            reason_for_adding(self, ended=ended)
        else:
            self.initial["examined"] = str(self.instance.examined)


class InterpretationForm(RecordForm):
    """What a finding may mean."""

    reason = reason_field()
    rows = {"ground": 2}
    statements = RANGE_WORDS
    labels = {
        "statement": "It may mean",
        "standing": "How strongly",
        "ground": "Ground",
        "confidence": "Confidence",
    }

    class Meta:
        model = Interpretation
        fields = [*INTERPRETATION_FIELDS]
        widgets = {
            "statement": forms.TextInput(attrs={"list": "statement-words"}),
            "confidence": forms.TextInput(attrs={"list": "confidence-words"}),
            "standing": forms.RadioSelect,
        }

    def __init__(self, *args: Any, ended: bool = False, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        choice_field(self, "standing").choices = [(one.value, one.value) for one in Strength]
        if self.instance._state.adding:
            reason_for_adding(self, ended=ended)
