"""Forms of a finding and what hangs on it. Sizes are entered in cm and kept in mm."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from django import forms

from findings.actions import OWN_FIELDS
from findings.forms.by_words import (
    DISTANCE_NAMES,
    PLACE_LABELS,
    PLACE_NAMES,
    PLACE_UNITS,
    ByWordsForm,
    ChartBody,
    check_distance,
    distance_fields,
    drawn_by_words,
    kind_field,
    mark_of,
    midline_of,
    nearest_field,
    region_field,
    signed,
    size_field,
    way_field,
)
from findings.forms.reason import ReasonedForm, reason_field, say_nothing
from findings.models import Finding, Interpretation, LayerFinding
from findings.rules import FAR_ENDS, MarkKind, PathEnd, Strength
from findings.words.layers import NO_LONGER_OFFERED
from findings.words.vocabulary import COLOR_CAUTION
from findings.words.wounds import RANGE_WORDS, WOUND_FIELDS
from me_office.shell.forms import RecordForm, choice_field, choices_of
from me_office.shell.json_text import read_json
from me_office.worded import as_choices

SIZES = ("length", "width", "depth")
_IN_CM = tuple(f"{size}_mm" for size in SIZES)
_WOUND_CHOICES = ("first_end", "second_end", "soot", "stippling")


MARK_ONLY = ("far_end", "count_low", "count_high")
COUNT_LABELS = {"count_low": "Marks, at least", "count_high": "Marks, at most"}


def far_end_field() -> forms.ChoiceField:
    """What the second place of a pair is."""
    ends = [(one.value, one.words) for one in FAR_ENDS]
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


class FindingForm(RecordForm, of=Finding):
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
    above_heel_cm, midline_cm, midline_where = distance_fields()
    place_region = region_field()
    place_kind = kind_field()
    place_length_cm = size_field()
    place_width_cm = size_field()
    place_way = way_field()
    place_nearest = nearest_field()
    sentence_checked = forms.BooleanField(required=False)
    marks = forms.CharField(required=False, widget=forms.HiddenInput)
    far_end = far_end_field()
    count_low, count_high = count_fields()
    reason = reason_field()
    units = {
        **dict.fromkeys(("length_cm", "width_cm", "depth_cm"), "cm"),
        **PLACE_UNITS,
        **dict.fromkeys((name for name in WOUND_FIELDS if name.endswith("_mm")), "mm"),
        "clock_hour": "o'clock",
    }
    rows = {"seen_as": 2, "sentence": 3}
    labels = {
        **COUNT_LABELS,
        **PLACE_LABELS,
        "far_end": "The far end",
        "length_cm": "Length",
        "width_cm": "Width",
        "depth_cm": "Depth",
        "clock_hour": "First end points to",
        "second_end": "Opposite end",
        "closed_length_mm": "Length, edges together",
        "ring_12_mm": "Ring at 12 o'clock",
        "ring_3_mm": "Ring at 3 o'clock",
        "ring_6_mm": "Ring at 6 o'clock",
        "ring_9_mm": "Ring at 9 o'clock",
        "soot_across_mm": "Soot, across",
        "soot_down_mm": "Soot, head to foot",
        "stippling_across_mm": "Stippling, across",
        "stippling_down_mm": "Stippling, head to foot",
        "timing": "Before or after death",
        "timing_ground": "Ground for the timing",
        "impacts_kind": "Impacts",
        "impacts": "How many",
        "impacts_reason": "Reason",
        "impact_group": "Same impact as",
        "sentence": "Own text for the report",
        "sentence_checked": "This text still fits the data",
    }
    asks = [*(name for name in OWN_FIELDS if name not in _IN_CM), "place"]
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

    def __init__(self, *args: Any, on: ChartBody | None = None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.on = on
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
            for name in ("marks", *MARK_ONLY, *PLACE_NAMES):
                del self.fields[name]

    @property
    def is_placed_by_words(self) -> bool:
        """Tell whether a place was typed beside the drawing, or what is wrong stands there."""
        typed = {"place_region", *DISTANCE_NAMES} & {*self.changed_data}
        return bool(typed or {*PLACE_NAMES, *DISTANCE_NAMES} & {*self.errors})

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
        for name in ("marks", *MARK_ONLY, *PLACE_NAMES):
            said.pop(name, None)
        for size in SIZES:
            value = said.pop(f"{size}_cm")
            said[f"{size}_mm"] = None if value is None else value * 10
        distance, where = said.pop("midline_cm"), said.pop("midline_where")
        side, midline = midline_of(where)
        said["midline"] = midline
        said["below_top_cm"] = None
        said["from_midline_cm"] = signed(distance, side)
        return said

    def clean(self) -> dict[str, Any] | None:
        """Check the distances, and add the mark that is placed by words."""
        cleaned = super().clean()
        check_distance(self)
        drawn = drawn_by_words(self, self.on, kept=True) if self.on else None
        if drawn is not None and "marks" not in self.errors:
            placed = mark_of(self.record_id, drawn)
            self.cleaned_data["marks"] = [*self.cleaned_data["marks"], placed]
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


class MarkForm(ByWordsForm):
    """A mark of a finding that stands; drawn on the chart."""

    view = forms.CharField(max_length=24, widget=forms.HiddenInput)
    kind = forms.CharField(max_length=10, widget=forms.HiddenInput)
    points = forms.CharField(
        widget=forms.HiddenInput, error_messages={"required": "Place the mark on the chart."}
    )
    end = forms.ChoiceField(
        required=False,
        label="This place is",
        choices=PathEnd.choices(),
    )
    count_low, count_high = count_fields()
    reason = reason_field()
    labels = {**COUNT_LABELS, **PLACE_LABELS}

    @property
    def said(self) -> dict[str, Any]:
        """The mark; what it was placed by is not kept."""
        by = {*PLACE_NAMES, *DISTANCE_NAMES}
        return {name: value for name, value in self.entry.items() if name not in by}

    def clean(self) -> dict[str, Any] | None:
        """Only a pair has an end, only a pattern a count; words place the mark where they can."""
        cleaned = super().clean()
        check_distance(self)
        drawn = drawn_by_words(self, self.on, kept=False)
        if self.cleaned_data.get("place_region"):
            # One message: what is wrong stands beside the words.
            for name in ("view", "kind", "points"):
                self.errors.pop(name, None)
        if drawn is not None:
            self.cleaned_data |= {
                "view": drawn.view,
                "kind": str(drawn.kind),
                "points": drawn.points,
            }
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


class LayerForm(ReasonedForm, of=LayerFinding):
    """One layer under a finding."""

    examined = forms.TypedChoiceField(
        choices=[("True", "examined"), ("False", "not examined")],
        coerce=lambda value: value == "True",
        widget=forms.RadioSelect,
        initial="True",
    )
    labels = {"examined": "Examined"}
    widgets = {"found": forms.TextInput(attrs={"list": "layer-words"})}
    help_texts = {"found": "State negatives too: no hemorrhage, no fracture."}

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        choice_field(self, "layer").choices = [
            (value, words)
            for value, words in choices_of(self, "layer")
            if value not in NO_LONGER_OFFERED or value == self.instance.layer
        ]
        if not self.instance._state.adding:
            self.initial["examined"] = str(self.instance.examined)


class InterpretationForm(ReasonedForm, of=Interpretation):
    """What a finding may mean."""

    rows = {"ground": 2}
    statements = RANGE_WORDS
    labels = {"statement": "It may mean", "standing": "How strongly"}
    widgets = {
        "statement": forms.TextInput(attrs={"list": "statement-words"}),
        "confidence": forms.TextInput(attrs={"list": "confidence-words"}),
        "standing": forms.RadioSelect,
    }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        choice_field(self, "standing").choices = as_choices(Strength)
