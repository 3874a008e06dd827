"""The form of a method, made from the method's own fields, and back to the method's inputs."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django import forms
from django.utils.html import format_html

from findings.calculations.fields import Field, Kind
from findings.calculations.result import Plain
from findings.computing.labels import help_of, key_words, label_of, unit_of
from findings.computing.offered import Offer, Way
from findings.computing.prefill import KnownValues
from findings.computing.rules import Unusable
from me_office.audit.errors import Refused
from me_office.shell.forms import OfficeForm

LONGEST = 4000
BY_HAND = "by_hand"
# The note stands beside the result, outside the form's own element.
FORM_ID = "method-form"
FIRST_YEAR, LAST_YEAR = 1900, 2200
YES_NO = [("", "not stated"), ("yes", "yes"), ("no", "no")]
COUNTED = [("count", "counts"), ("exclude", "not caused by impact"), ("leave", "leave out")]


@dataclass(frozen=True)
class MarkRow:
    """A mark that may count as an impact."""

    key: str
    words: str


@dataclass(frozen=True)
class StoredInterval:
    """A kept interval that the summary may take in."""

    key: str
    words: str
    inputs: Mapping[str, Plain]


@dataclass(frozen=True)
class Choices:
    """What the page offers to choose from beside typed values."""

    marks: tuple[MarkRow, ...] = ()
    intervals: tuple[StoredInterval, ...] = ()


class NumberField(forms.FloatField):
    """A number within the limits of a method's field."""

    def __init__(self, described: Field, *, percent: bool = False, **more: Any) -> None:
        unit = unit_of(described.unit)
        low = None if percent else described.minimum
        high = None if percent else described.maximum
        super().__init__(
            min_value=0 if percent else low,
            max_value=100 if percent else high,
            error_messages={
                "invalid": "Enter a number.",
                "required": "This method needs this value.",
                "min_value": f"Enter at least {0 if low is None else low:g} {unit}".rstrip() + ".",
                "max_value": f"Enter at most {100 if high is None else high:g} {unit}".rstrip()
                + ".",
            },
            **more,
        )
        if unit or percent:
            self.widget.attrs["data-unit"] = "%" if percent else unit

    def widget_attrs(self, widget: forms.Widget) -> dict[str, Any]:
        """Any step: limits are checked with words of our own."""
        return {"step": "any"}


class MethodForm(OfficeForm):
    """One method by one way. `plain_inputs` is what the method takes, once the form is valid."""

    def __init__(
        self,
        data: Any = None,
        *,
        offer: Offer,
        way: Way,
        known: KnownValues,
        choices: Choices | None = None,
    ) -> None:
        self.offer, self.way, self.known = offer, way, known
        self.choices = choices or Choices()
        self.plain_inputs: dict[str, Any] = {}
        super().__init__(data)

    def prepare(self, record: Any = None) -> None:
        """Add the method's fields before the office's hidden ones."""
        self._by_name = {one.name: one for one in self.offer.method.fields}
        for name in self.way.fields:
            self._add_for(self._by_name[name])
        if self.offer.is_timed:
            self._put("measured_at", forms.DateTimeField(required=False), MEASURED_HELP)
        self._put("shown", forms.CharField(required=False, widget=forms.HiddenInput), "")
        note = forms.CharField(
            required=False,
            max_length=LONGEST,
            widget=forms.Textarea(attrs={"rows": 2, "form": FORM_ID}),
        )
        self._put("note", note, "The question it answers; saved with the result.")
        self.fields["note"].label = "Purpose"
        super().prepare(record)

    # Building

    def _put(self, name: str, made: forms.Field, words: str, label: str = "") -> None:
        made.label = label or label_of(name.rsplit("__", 1)[-1])
        known = self.known.get(name)
        words = help_of(name, words)
        made.help_text = words
        if known is not None:
            made.initial = known.value
            made.help_text = format_html(
                '{} <span class="from-file"><b>Case file</b> {}</span>', words, known.source
            )
        self.fields[name] = made

    def _add_for(self, one: Field) -> None:
        needed = one.required or one.name in self.way.needed
        if one.name == "marks":
            self._add_marks()
        elif one.kind is Kind.OBJECTS:
            self._add_intervals(one)
        elif one.kind is Kind.OBJECT:
            for part in one.parts:
                made = NumberField(part, required=part.required)
                self._put(f"{one.name}__{part.name}", made, part.help)
        elif one.kind is Kind.FRACTIONS:
            for region in self.way.regions:
                made = NumberField(one, percent=True, required=False)
                self._put(f"{one.name}__{region}", made, "", key_words(region))
        elif one.kind is Kind.NUMBER_OR_RANGE:
            self._put(one.name, NumberField(one, required=needed), one.help)
            high = NumberField(one, required=False)
            self._put(
                f"{one.name}__high", high, "The highest, if it was not steady.", "to, if a range"
            )
        else:
            self._put(one.name, self._simple(one, needed), one.help)

    def _simple(self, one: Field, needed: bool) -> forms.Field:
        if one.kind is Kind.FLAG:
            return forms.ChoiceField(choices=YES_NO, required=needed)
        if one.kind is Kind.CHOICE:
            named = [(choice, key_words(choice)) for choice in one.choices]
            return forms.ChoiceField(choices=[("", "not stated"), *named], required=needed)
        if one.kind is Kind.MOMENT:
            return forms.DateTimeField(required=needed)
        if one.kind is Kind.INTEGER:
            whole = forms.IntegerField(required=needed, min_value=0, max_value=50_000)
            whole.widget.attrs["data-unit"] = unit_of(one.unit)
            return whole
        if one.kind in (Kind.NUMBERS, Kind.POINTS) or self._is_points(one):
            area = forms.Textarea(attrs={"rows": 4})
            return forms.CharField(required=needed, max_length=LONGEST, widget=area)
        if one.kind is Kind.TEXT_OR_NUMBER:
            return forms.CharField(required=needed, max_length=20)
        return NumberField(one, required=needed)

    def _is_points(self, one: Field) -> bool:
        return one.kind is Kind.NUMBER_OR_POINTS and self.way.as_points

    def _add_marks(self) -> None:
        for row in self.choices.marks:
            counted = forms.ChoiceField(choices=COUNTED, label=row.words)
            self._put(f"mark__{row.key}", counted, "", f"{row.words}: does it count")
            letter = forms.CharField(required=False, max_length=8)
            self._put(f"group__{row.key}", letter, "", f"{row.words}: letter")

    def _add_intervals(self, one: Field) -> None:
        stored = [(row.key, row.words) for row in self.choices.intervals]
        if stored:
            boxes = forms.MultipleChoiceField(
                choices=stored, required=False, widget=forms.CheckboxSelectMultiple
            )
            self._put(one.name, boxes, "", "Saved in this case")
        parts = {part.name: part for part in one.parts}
        label = forms.CharField(required=False, max_length=120)
        self._put(f"{BY_HAND}__label", label, "Another method, another office.")
        self._put(f"{BY_HAND}__measured_at", forms.DateTimeField(required=False), "")
        for name in ("low_h", "high_h"):
            made = NumberField(parts[name], required=False)
            self._put(f"{BY_HAND}__{name}", made, parts[name].help)

    # Reading

    def clean(self) -> dict[str, Any]:
        """Make the method's inputs out of what was typed."""
        cleaned: dict[str, Any] = super().clean() or self.cleaned_data
        for name, value in list(cleaned.items()):
            if isinstance(value, datetime) and not FIRST_YEAR <= value.year <= LAST_YEAR:
                self.add_error(name, "Check the year.")
        inputs: dict[str, Any] = dict(self.way.fixed)
        for name in self.way.fields:
            try:
                value = self._read(self._by_name[name])
            except ValueError as error:
                self.add_error(name if name in self.fields else None, str(error))
                continue
            if name == "marks":
                inputs |= value
            elif value is not None:
                inputs[name] = value
        self.plain_inputs = inputs
        return cleaned

    def _read(self, one: Field) -> Any:
        value = self.cleaned_data.get(one.name)
        if one.name == "marks":
            return self._read_marks()
        if one.kind is Kind.OBJECTS:
            return self._read_intervals(value or [])
        if one.kind is Kind.OBJECT:
            return self._parts(one.name, [part.name for part in one.parts]) or None
        if one.kind is Kind.FRACTIONS:
            shares = self._parts(one.name, self.way.regions)
            return {region: share / 100 for region, share in shares.items()} or None
        if value in (None, ""):
            return None
        if one.kind is Kind.NUMBER_OR_RANGE:
            high = self.cleaned_data.get(f"{one.name}__high")
            return value if high is None else [value, high]
        if one.kind is Kind.FLAG:
            return value == "yes"
        if one.kind is Kind.MOMENT:
            return value.isoformat()
        if one.kind is Kind.NUMBERS:
            return [number for row in _rows(value) for number in row]
        if one.kind is Kind.POINTS or self._is_points(one):
            return _rows(value)
        return value

    def _parts(self, prefix: str, names: Any) -> dict[str, Any]:
        values = {name: self.cleaned_data.get(f"{prefix}__{name}") for name in names}
        return {name: value for name, value in values.items() if value is not None}

    def _read_marks(self) -> dict[str, Any]:
        groups: dict[str, list[str]] = {}
        marks, excluded = [], []
        for row in self.choices.marks:
            counted = self.cleaned_data.get(f"mark__{row.key}", "leave")
            if counted == "leave":
                continue
            marks.append(row.key)
            if counted == "exclude":
                excluded.append(row.key)
            letter = (self.cleaned_data.get(f"group__{row.key}") or "").strip().casefold()
            if letter:
                groups.setdefault(letter, []).append(row.key)
        if not marks:
            raise ValueError("Say for at least one mark whether it counts.")
        joined = [group for group in groups.values() if len(group) > 1]
        return {"marks": marks, "possibly_one_blow": joined, "excluded": excluded}

    def _read_intervals(self, chosen: list[str]) -> list[Any] | None:
        kept = {row.key: dict(row.inputs) for row in self.choices.intervals}
        rows = [kept[key] for key in chosen]
        typed = self._parts(BY_HAND, ("label", "measured_at", "low_h", "high_h"))
        typed = {name: value for name, value in typed.items() if value != ""}
        if typed:
            if "measured_at" in typed:
                typed["measured_at"] = typed["measured_at"].isoformat()
            rows.append(typed)
        return rows or None

    # What the page and the action need

    def take_unusable(self, error: Unusable) -> None:
        """Put a method's complaint beside the field of the form that it is about."""
        self.add_action_error(Refused(error.message, field=self.form_name(error.field)))

    def form_name(self, name: str | None) -> str | None:
        """The form's name of an input: entrance.left_cm gives entrance__left_cm."""
        found = re.fullmatch(r"estimates\[(\d+)\](?:\.(\w+))?", name or "")
        if found:
            chosen = len(self.cleaned_data.get("estimates") or [])
            is_typed = int(found[1]) >= chosen and found[2]
            return f"{BY_HAND}__{found[2]}" if is_typed else "estimates"
        return name.replace(".", "__") if name else None

    @property
    def taken_from(self) -> dict[str, str]:
        """For each input that still is what the case file holds: where it stands there."""
        return {
            name: known.source
            for name, known in self.known.items()
            if known.value not in ("", None) and _same(self.cleaned_data.get(name), known.value)
        }


MEASURED_HELP = "The time from which the hours are counted back; it gives clock times."


def _same(typed: Any, known: Any) -> bool:
    if isinstance(typed, datetime) and isinstance(known, datetime):
        return abs((typed - known).total_seconds()) < 60
    return bool(typed == known)


def _rows(text: str) -> list[list[float]]:
    """Numbers line by line, separated by blanks, commas or semicolons."""
    rows = []
    for line in text.splitlines():
        parts = [part for part in re.split(r"[\s,;]+", line.strip()) if part]
        if not parts:
            continue
        try:
            rows.append([float(part) for part in parts])
        except ValueError:
            raise ValueError(f"Enter numbers only, not “{line.strip()[:40]}”.") from None
    return rows


class VoidForm(OfficeForm):
    """Why a calculation is withdrawn."""

    reason = forms.CharField(max_length=LONGEST, widget=forms.Textarea(attrs={"rows": 3}))
