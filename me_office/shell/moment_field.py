"""The one form field for a moment: in office time, also in the hour that the clock shows twice."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils.dateparse import parse_datetime

from me_office import moments
from me_office.as_typed import (
    DAY_FORM,
    FIRST_YEAR,
    LAST_YEAR,
    TIME_FORM,
    Clock,
    NotRead,
    day_face,
    day_words,
    face,
    read_moment,
)
from me_office.shell.typed_field import TypedField, TypedInput, as_read, office_zone_words

PASSES = ("first time", "second time")


class Typed(str):
    """The typed day, or day and time as one, beside it the typed time, and which reading was chosen
    (an offset such as -05:00)."""

    offset: str
    clock: str

    def __new__(cls, text: str, offset: str = "", clock: str = "") -> Typed:
        """Make the text carry the offset and the time."""
        made = super().__new__(cls, text)
        made.offset, made.clock = offset, clock
        return made


class MomentInput(TypedInput):
    """A moment in the office's time zone, to the minute; of two readings, which one."""

    kinds = ("day", "time")
    to_the_second = False

    def clock_of(self, moment: datetime) -> Clock:
        """The time of day that is shown of a moment."""
        return Clock(moment.hour, moment.minute, moment.second if self.to_the_second else None)

    def texts(self, value: Any) -> tuple[str, ...]:
        """The face of the office's calendar and clock, or what was typed."""
        if isinstance(value, str):
            if getattr(value, "clock", ""):
                return str(value), value.clock  # type: ignore[attr-defined]
            value = written_as_one(value) or value
        if isinstance(value, datetime):
            shown = moments.local(value) if value.tzinfo else value
            return day_face(shown.date()), str(self.clock_of(shown))
        return str(value or ""), ""

    def said(self, value: Any, *texts: str) -> str:
        """Wednesday, March 4, 2026, 14:05 EST; without the zone while it may be either of two."""
        try:
            day, clock = read_moment(*texts)
        except NotRead:
            return ""
        found = moments.readings(face(day, clock))
        if len(found) > 1:
            offset = moments.offset_text(moments.local(value)) if _is_aware(value) else ""
            offset = offset or getattr(value, "offset", "")
            found = [one for one in found if moments.offset_text(one) == offset]
        zone = moments.zone_word(found[0]) if found else ""
        return f"{day_words(day)}, {clock} {zone}".rstrip()

    def hint(self) -> str:
        """In which form, and on whose clock."""
        second = ":SS" if self.to_the_second else ""
        return f"{DAY_FORM} {TIME_FORM}{second}, {office_zone_words()}"

    def value_from_datadict(self, data: Any, files: Any, name: str) -> Any:
        """Day, time and the chosen offset, which other widgets would send in three fields."""
        text, clock = data.get(name), data.get(f"{name}_time") or ""
        if text is None and not clock:
            return None
        if text is not None and not isinstance(text, str):
            return text
        return Typed(text or "", data.get(f"{name}_offset") or "", clock)

    def value_omitted_from_data(self, data: Any, files: Any, name: str) -> bool:
        """Tell whether neither day nor time was sent."""
        return name not in data and f"{name}_time" not in data

    def get_context(
        self, name: str, value: Any, attrs: dict[str, object] | None
    ) -> dict[str, object]:
        """Add the two readings where there are two."""
        context: dict[str, Any] = super().get_context(name, value, attrs)
        chosen = getattr(value, "offset", "")
        if _is_aware(value):
            chosen = moments.offset_text(moments.local(value))
        found = readings_of(*(part.value for part in context["widget"]["parts"]))
        context["widget"] |= {
            "is_moment": True,
            "offset_name": f"{name}_offset",
            # Of another time it would choose unasked when this one is changed.
            "chosen": chosen if found else "",
            "readings": found,
        }
        return context


class ExactMomentInput(MomentInput):
    """A moment to the second: a camera's clock says more than the minute."""

    to_the_second = True


def _is_aware(value: Any) -> bool:
    return isinstance(value, datetime) and value.tzinfo is not None


def written_as_one(text: str) -> datetime | None:
    """A moment in one text (ISO 8601), of the years that are read; None for anything else, a day
    alone too."""
    said = text.strip()
    if not said.isascii() or not ("T" in said or " " in said):
        return None
    try:
        made = parse_datetime(said)
    except ValueError:
        return None
    return made if made and FIRST_YEAR <= made.year <= LAST_YEAR else None


def readings_of(day: str, clock: str = "") -> list[tuple[str, str]]:
    """The two readings of what was typed as choices (offset, words); none where there is one."""
    try:
        found = moments.readings(face(*read_moment(day, clock)))
    except NotRead:
        return []
    if len(found) < 2:
        return []
    return [
        (moments.offset_text(one), f"{which}, {moments.reading_words(one)}")
        for which, one in zip(PASSES, found, strict=True)
    ]


class MomentField(TypedField, forms.DateTimeField):
    """A moment in office time.

    `kept` is the stored moment that the form was shown with: left as it is, it stays to the
    second and with its own offset. Cleaned values have a fixed offset.
    """

    input_class = MomentInput
    widget: Any = MomentInput
    kept: datetime | None = None

    @classmethod
    def of(cls, field: forms.Field, kept: Any = None) -> MomentField:
        """The same field with the office's reading of it, and the moment that is stored."""
        made = cls.in_place_of(field)
        made.kept = kept if _is_aware(kept) else None
        return made

    def prepare_value(self, value: Any) -> Any:
        """Leave a moment its offset: the widget shows which reading it is."""
        return value

    def to_python(self, value: Any) -> datetime | None:
        """The moment that was typed. Raises ValidationError, for a time that never was too."""
        if value is None:
            return None
        if not isinstance(value, str):
            return _fixed(super().to_python(value))
        clock = getattr(value, "clock", "").strip()
        if not value.strip() and not clock:
            return None
        whole = None if clock else written_as_one(value)
        if whole is not None and whole.tzinfo is not None:
            return _fixed(super().to_python(whole))
        day, at = as_read(lambda: read_moment(value, clock))
        offset = getattr(value, "offset", "")
        if self.kept is not None and self._is_kept(self.kept, face(day, at), at, offset):
            return moments.fixed(moments.local(self.kept))
        return _reading(face(day, at), offset)

    def _is_kept(self, kept: datetime, typed: datetime, at: Clock, offset: str) -> bool:
        own = moments.local(kept)
        same_face = typed.date() == own.date() and at == self.widget.clock_of(own)
        return same_face and (
            not moments.is_repeated(kept) or offset in {"", moments.offset_text(own)}
        )


def _fixed(moment: datetime | None) -> datetime | None:
    return moments.fixed(moment) if moment and moment.tzinfo else moment


def _reading(typed: datetime, offset: str) -> datetime:
    found = moments.readings(typed)
    if len(found) == 1:
        return found[0]
    for one in found:
        if moments.offset_text(one) == offset:
            return one
    raise ValidationError(wrong_with_face(typed), code="repeated" if found else "skipped")


def wrong_with_face(shown: datetime) -> str:
    """Why a face of the office's clock is not one moment; empty where it is."""
    found, day = moments.readings(shown), f"{shown.day} {shown:%b %Y}"
    if len(found) == 1:
        return ""
    if not found:
        minutes = round(moments.skipped(shown).total_seconds() / 60)
        by = "an hour" if minutes == 60 else f"{minutes} minutes"
        return f"{shown:%H:%M} did not exist on {day}: the clocks had been put forward by {by}."
    first, second = (moments.reading_words(one) for one in found)
    return (
        f"{shown:%H:%M} came twice on {day}, because the clocks were put back. "
        f"Choose the first time, {first}, or the second time, {second}."
    )
