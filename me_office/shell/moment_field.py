"""The one form field for a moment: in office time, also in the hour that the clock shows twice."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils.dateparse import parse_datetime
from django.utils.timezone import get_current_timezone_name

from me_office import moments

PASSES = ("first time", "second time")


class Typed(str):
    """What was typed into the field, and which reading was chosen (an offset such as -05:00)."""

    offset: str

    def __new__(cls, text: str, offset: str = "") -> Typed:
        """Make the text carry the offset."""
        made = super().__new__(cls, text)
        made.offset = offset
        return made


class MomentInput(forms.DateTimeInput):
    """A moment in the office's time zone, to the minute; of two readings, which one."""

    input_type = "datetime-local"
    template_name = "shell/form/moment.html"
    face_format = "%Y-%m-%dT%H:%M"

    def __init__(self, attrs: dict[str, object] | None = None) -> None:
        super().__init__(attrs, format=self.face_format)

    def format_value(self, value: Any) -> str | None:
        """The face of the office's clock."""
        if isinstance(value, datetime) and value.tzinfo is not None:
            value = moments.local(value)
        if isinstance(value, datetime):
            return value.strftime(self.face_format)
        return super().format_value(value)

    def value_from_datadict(self, data: Any, files: Any, name: str) -> Any:
        """The face and the chosen offset, which other widgets would send in two fields."""
        text = super().value_from_datadict(data, files, name)
        return Typed(text, data.get(f"{name}_offset") or "") if isinstance(text, str) else text

    def get_context(
        self, name: str, value: Any, attrs: dict[str, object] | None
    ) -> dict[str, object]:
        """Add the two readings where there are two, and the office's zone for the page's script."""
        context = super().get_context(name, value, attrs)
        chosen = getattr(value, "offset", "")
        if isinstance(value, datetime) and value.tzinfo is not None:
            chosen = moments.offset_text(moments.local(value))
        found = readings_of(context["widget"]["value"])
        context["widget"] |= {
            "offset_name": f"{name}_offset",
            # Of another time it would choose unasked when this one is changed.
            "chosen": chosen if found else "",
            "readings": found,
            "zone": get_current_timezone_name(),
        }
        return context


def readings_of(face: str | None) -> list[tuple[str, str]]:
    """The two readings of a typed face as choices (offset, words); none where there is one."""
    try:
        parsed = parse_datetime(face or "")
    except ValueError:
        return []
    if parsed is None or parsed.tzinfo is not None:
        return []
    found = moments.readings(parsed)
    if len(found) < 2:
        return []
    return [
        (moments.offset_text(one), f"{which}, {moments.reading_words(one)}")
        for which, one in zip(PASSES, found, strict=True)
    ]


class MomentField(forms.DateTimeField):
    """A moment in office time.

    `kept` is the stored moment that the form was shown with: left as it is, it stays to the
    second and with its own offset. Cleaned values have a fixed offset.
    """

    widget: Any = MomentInput
    kept: datetime | None = None

    @classmethod
    def in_place_of(cls, field: forms.DateTimeField, kept: Any = None) -> MomentField:
        """The same field with the office's reading of it."""
        if isinstance(field, cls):
            made = field
        else:
            made = cls()
            made.__dict__.update(field.__dict__)
            made.widget = MomentInput(dict(field.widget.attrs))
            made.widget.is_required = field.required
        made.kept = kept if isinstance(kept, datetime) and kept.tzinfo is not None else None
        return made

    def prepare_value(self, value: Any) -> Any:
        """Leave a moment its offset: the widget shows which reading it is."""
        return value

    def to_python(self, value: Any) -> datetime | None:
        """The moment that was typed. Raises ValidationError, for a time that never was too."""
        if value in self.empty_values:
            return None
        face = self._face(value)
        if face is None:
            made: datetime | None = super().to_python(value)
            return moments.fixed(made) if made and made.tzinfo else made
        offset = getattr(value, "offset", "")
        if self.kept is not None and self._is_kept(str(value), offset):
            return moments.fixed(moments.local(self.kept))
        return _reading(face, offset)

    def _face(self, value: Any) -> datetime | None:
        if not isinstance(value, str):
            return None
        try:
            parsed = parse_datetime(value.strip())
        except ValueError:
            return None
        return parsed if parsed is not None and parsed.tzinfo is None else None

    def _is_kept(self, text: str, offset: str) -> bool:
        if self.kept is None:
            return False
        own = moments.local(self.kept)
        same_face = bool(self.widget.format_value(self.kept) == text.strip())
        repeated = moments.is_repeated(self.kept)
        return same_face and (not repeated or offset in {"", moments.offset_text(own)})


def _reading(face: datetime, offset: str) -> datetime:
    found = moments.readings(face)
    if len(found) == 1:
        return found[0]
    for one in found:
        if moments.offset_text(one) == offset:
            return one
    raise ValidationError(wrong_with_face(face), code="repeated" if found else "skipped")


def wrong_with_face(face: datetime) -> str:
    """Why a face of the office's clock is not one moment; empty where it is."""
    found, day = moments.readings(face), f"{face.day} {face:%b %Y}"
    if len(found) == 1:
        return ""
    if not found:
        minutes = round(moments.skipped(face).total_seconds() / 60)
        by = "an hour" if minutes == 60 else f"{minutes} minutes"
        return f"{face:%H:%M} did not exist on {day}: the clocks had been put forward by {by}."
    first, second = (moments.reading_words(one) for one in found)
    return (
        f"{face:%H:%M} came twice on {day}, because the clocks were put back. "
        f"Choose the first time, {first}, or the second time, {second}."
    )
