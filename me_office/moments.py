"""Moments on the office's clock, and the hours that it shows twice or leaves out.

Where the clocks go back, a time of day is read twice that night; where they go forward, an hour
never comes. A moment of the office is kept with a fixed offset while it is worked with: two
moments of one zone would be compared by the face of the clock alone (PEP 495).
"""

from __future__ import annotations

from datetime import datetime, timedelta, timezone, tzinfo

from django.utils.timezone import get_current_timezone


def fixed(moment: datetime) -> datetime:
    """The same moment with its own offset in place of a zone."""
    offset = moment.utcoffset()
    return moment if offset is None else moment.replace(tzinfo=timezone(offset), fold=0)


def readings(face: datetime, zone: tzinfo | None = None) -> list[datetime]:
    """The moments at which the clock shows this face: none, one, or two (the first pass first)."""
    zone = zone or get_current_timezone()
    first, second = (face.replace(tzinfo=zone, fold=fold) for fold in (0, 1))
    before, after = first.utcoffset(), second.utcoffset()
    if before is None or after is None or before == after:
        return [fixed(first)]
    # Offsets that grow leave the face out; those that shrink show it twice.
    return [] if after > before else [fixed(first), fixed(second)]


def skipped(face: datetime, zone: tzinfo | None = None) -> timedelta:
    """By how much the clock was put forward over this face; nothing where it shows it."""
    zone = zone or get_current_timezone()
    before, after = (face.replace(tzinfo=zone, fold=fold).utcoffset() for fold in (0, 1))
    return max((after or timedelta()) - (before or timedelta()), timedelta())


def local(moment: datetime, zone: tzinfo | None = None) -> datetime:
    """A moment on the office's clock."""
    return moment.astimezone(zone or get_current_timezone())


def is_repeated(moment: datetime, zone: tzinfo | None = None) -> bool:
    """Whether the office's clock shows this moment's face twice."""
    zone = zone or get_current_timezone()
    return len(readings(local(moment, zone).replace(tzinfo=None, fold=0), zone)) > 1


def offset_text(moment: datetime) -> str:
    """The offset as it stands in ISO 8601: -05:00."""
    return moment.isoformat()[-6:]


def zone_word(moment: datetime, zone: tzinfo | None = None) -> str:
    """The zone as it is printed beside a time: EST, or UTC+10:30 where there are no letters."""
    letters = f"{local(moment, zone):%Z}"
    return letters if letters.isalpha() else _offset_word(moment, zone)


def reading_words(moment: datetime, zone: tzinfo | None = None) -> str:
    """What tells two readings apart: EST (UTC-05:00), or UTC+10:30 where there are no letters."""
    word, offset = zone_word(moment, zone), _offset_word(moment, zone)
    return word if word == offset else f"{word} ({offset})"


def written_out(moment: datetime, zone: tzinfo | None = None) -> str:
    """A moment as documents print it: 3 June 2026, 09:05 EDT."""
    return f"{local(moment, zone):%d %B %Y, %H:%M %Z}".removeprefix("0")


def written_span(began: datetime, ended: datetime, zone: tzinfo | None = None) -> str:
    """From one moment to another, with what both have in common once: the day, the zone."""
    first, last = local(began, zone), local(ended, zone)
    if first.date() != last.date():
        return f"{written_out(began, zone)} to {written_out(ended, zone)}"
    words = written_out(began, zone)
    if first.tzname() == last.tzname():
        words = words.removesuffix(f" {first.tzname()}")
    return f"{words} to {last:%H:%M %Z}"


def _offset_word(moment: datetime, zone: tzinfo | None) -> str:
    return f"UTC{offset_text(fixed(local(moment, zone)))}".replace("-", "\N{MINUS SIGN}")


def clock_words(moment: datetime, form: str, zone: tzinfo | None = None) -> str:
    """A moment on the office's clock by `form` (strftime), with its zone where it comes twice."""
    words = local(moment, zone).strftime(form).removeprefix("0")
    return f"{words} {local(moment, zone):%Z}" if is_repeated(moment, zone) else words
