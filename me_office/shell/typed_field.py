"""Form fields for a day and for a time of day, typed as text and read back.

Text, because engines differ in their own date inputs, give nothing for what is half typed, and
show the device's order of day and month. `me_office/as_typed.py` says what is read.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, datetime, time
from typing import Any, Self, TypeVar

from django import forms
from django.core.exceptions import ValidationError
from django.utils.timezone import get_current_timezone_name

from me_office.as_typed import (
    DAY_FORM,
    TIME_FORM,
    Clock,
    NotRead,
    day_face,
    day_words,
    read_clock,
    read_day,
)

T = TypeVar("T")


def office_zone_words() -> str:
    """Whose clock a time is read on: New York time."""
    return f"{get_current_timezone_name().rpartition('/')[2].replace('_', ' ')} time"


def as_read(read: Callable[[], T]) -> T:
    """What was typed, or the field's own error. Raises ValidationError."""
    try:
        return read()
    except NotRead as refused:
        raise ValidationError(refused.words, code="invalid") from None


@dataclass(frozen=True)
class Part:
    """One input of a widget."""

    kind: str  # day or time
    name: str
    value: str
    attrs: dict[str, object]


class TypedBoundField(forms.BoundField):
    """Tells the widget the field's label, of which the second input and the chooser are named."""

    def build_widget_attrs(
        self, attrs: dict[str, Any], widget: forms.Widget | None = None
    ) -> dict[str, Any]:
        """Add the label."""
        return {**super().build_widget_attrs(attrs, widget), "data-label": str(self.label)}


class TypedInput(forms.TextInput):
    """A day, a time of day or both: a text input each, and below them what was read."""

    template_name = "shell/form/typed.html"
    # What the line says while nothing can be read back.
    kinds: tuple[str, ...] = ()

    def get_context(
        self, name: str, value: Any, attrs: dict[str, object] | None
    ) -> dict[str, object]:
        """Add the inputs, what was read, and the office's zone for the page's script."""
        context: dict[str, Any] = super().get_context(name, value, attrs)
        shared: dict[str, object] = context["widget"]["attrs"]
        label = shared.pop("data-label", "")
        own_id = str(shared.get("id", name))
        described = f"{shared.get('aria-describedby', '')} {own_id}_said".strip()
        texts = self.texts(value)
        parts: list[Part] = []
        for kind, text in zip(self.kinds, texts, strict=True):
            own: dict[str, object] = {**shared, "aria-describedby": described}
            if parts:
                own |= {"id": f"{own_id}_time", "aria-label": f"{label}, time"}
                own.pop("autofocus", None)
            parts.append(Part(kind, f"{name}_time" if parts else name, text, own))
        context["widget"] |= {
            "parts": parts,
            "said_id": f"{own_id}_said",
            "hint": self.hint(),
            "said": self.said(value, *texts),
            "label": label,
            "zone": get_current_timezone_name(),
            "zone_words": office_zone_words(),
        }
        return context

    def texts(self, value: Any) -> tuple[str, ...]:
        """What stands in each input."""
        raise NotImplementedError

    def said(self, value: Any, *texts: str) -> str:
        """What was read, in words; empty where nothing was."""
        raise NotImplementedError

    def hint(self) -> str:
        """How it is typed."""
        raise NotImplementedError


class DayInput(TypedInput):
    """A calendar day."""

    kinds = ("day",)

    def texts(self, value: Any) -> tuple[str, ...]:
        """The day month first, or as it was typed."""
        return (day_face(value) if isinstance(value, date) else str(value or ""),)

    def said(self, value: Any, *texts: str) -> str:
        """Wednesday, March 4, 2026."""
        try:
            return day_words(read_day(texts[0]))
        except NotRead:
            return ""

    def hint(self) -> str:
        """Month first."""
        return DAY_FORM


class ClockInput(TypedInput):
    """A time of day."""

    kinds = ("time",)

    def texts(self, value: Any) -> tuple[str, ...]:
        """The time on the 24-hour clock, or as it was typed."""
        if isinstance(value, time):
            return (str(Clock(value.hour, value.minute, value.second or None)),)
        return (str(value or ""),)

    def said(self, value: Any, *texts: str) -> str:
        """14:05, New York time."""
        try:
            return f"{read_clock(texts[0])}, {office_zone_words()}"
        except NotRead:
            return ""

    def hint(self) -> str:
        """In which form, and on whose clock."""
        return f"{TIME_FORM}, {office_zone_words()}"


class TypedField(forms.Field):
    """What the fields for days, times and moments share."""

    input_class: type[TypedInput]

    @classmethod
    def in_place_of(cls, field: forms.Field) -> Self:
        """The same field with the office's reading of it."""
        if isinstance(field, cls):
            return field
        made = cls()
        made.__dict__.update(field.__dict__)
        made.widget = cls.input_class(dict(field.widget.attrs))
        made.widget.is_required = field.required
        return made

    def get_bound_field(self, form: forms.BaseForm, field_name: str) -> TypedBoundField:
        """A field that tells its widget the label."""
        return TypedBoundField(form, self, field_name)


class DayField(TypedField, forms.DateField):
    """A calendar day."""

    input_class = DayInput
    widget: Any = DayInput

    def to_python(self, value: Any) -> date | None:
        """The day that was typed. Raises ValidationError."""
        if isinstance(value, datetime):
            return value.date()
        if value is None or isinstance(value, date):
            return value
        text = str(value)
        return as_read(lambda: read_day(text)) if text.strip() else None


class ClockField(TypedField, forms.TimeField):
    """A time of day."""

    input_class = ClockInput
    widget: Any = ClockInput

    def to_python(self, value: Any) -> time | None:
        """The time that was typed. Raises ValidationError."""
        if value is None or isinstance(value, time):
            return value
        text = str(value)
        return as_read(lambda: read_clock(text).time) if text.strip() else None
