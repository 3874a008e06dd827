"""A feed as iCalendar (RFC 5545), with the time zone that its moments are in."""

from __future__ import annotations

import unicodedata
from collections.abc import Sequence
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from icalendar import Calendar, Timezone, TimezoneDaylight, TimezoneStandard
from icalendar import Event as CalendarEvent

from cases.calendars.queries import Event
from me_office.version import VERSION

# As the standard spells them.
STATUS = {False: "CONFIRMED", True: "CANCELLED"}
DAY, MINUTE = timedelta(days=1), timedelta(minutes=1)
MEDIA_TYPE = "text/calendar; charset=utf-8"


def calendar_text(
    name: str, events: Sequence[Event], *, zone: ZoneInfo, today: date, base: str
) -> bytes:
    """Write a calendar; `base` is the office's address, before the path of each page."""
    calendar = Calendar()
    calendar.add("prodid", f"-//Medical examiner's office//Calendar {VERSION}//EN")
    calendar.add("version", "2.0")
    calendar.add("method", "PUBLISH")
    calendar.add("x-wr-calname", name)
    # The zone with each change of its clocks in the span that a feed can reach, and a year around.
    around = timedelta(days=800)
    calendar.add_component(zone_component(zone, today - around, today + around))
    for one in events:
        calendar.add_component(_event(one, zone, base))
    written: bytes = calendar.to_ical()
    return written


def zone_component(zone: ZoneInfo, first: date, last: date) -> Timezone:
    """Write a zone with each change of its clocks between two days, an observance a change.

    Each begins at the time that the clock showed before it (RFC 5545, 3.6.5), and stands alone:
    programs that read no rules of years read it, too.
    """
    component = Timezone()
    component.add("tzid", zone.key)
    day = datetime.combine(first, time(), UTC)
    component.add_component(_observance(zone, day, day))
    while day.date() < last:
        following = day + DAY
        if _offset(zone, day) != _offset(zone, following):
            change = _change_between(zone, day, following)
            component.add_component(_observance(zone, change - MINUTE, change))
        day = following
    return component


def _observance(
    zone: ZoneInfo, before: datetime, at: datetime
) -> TimezoneStandard | TimezoneDaylight:
    local = at.astimezone(zone)
    kind = TimezoneDaylight if local.dst() else TimezoneStandard
    observance: TimezoneStandard | TimezoneDaylight = kind()
    begins = (at + _offset(zone, before)).replace(tzinfo=None)
    observance.add("dtstart", begins)
    observance.add("rdate", begins)
    observance.add("tzoffsetfrom", _offset(zone, before))
    observance.add("tzoffsetto", _offset(zone, at))
    observance.add("tzname", local.tzname() or zone.key)
    return observance


def _offset(zone: ZoneInfo, at: datetime) -> timedelta:
    return at.astimezone(zone).utcoffset() or timedelta()


def _change_between(zone: ZoneInfo, early: datetime, late: datetime) -> datetime:
    """The first minute at which the zone has the offset of the later moment."""
    while late - early > MINUTE:
        middle = early + (late - early) // 2
        middle = middle.replace(second=0, microsecond=0)
        if _offset(zone, middle) == _offset(zone, late):
            late = middle
        else:
            early = middle
    return late


def plain(text: str) -> str:
    """Return a text without the control characters that RFC 5545 (3.1) keeps out of values."""
    return "".join(one for one in text if one in "\n\t" or unicodedata.category(one) != "Cc")


def _event(one: Event, zone: ZoneInfo, base: str) -> CalendarEvent:
    event = CalendarEvent()
    event.add("uid", one.uid)
    event.add("sequence", one.sequence)
    event.add("dtstamp", one.changed_at.astimezone(UTC))
    event.add("last-modified", one.changed_at.astimezone(UTC))
    event.add("summary", plain(one.summary))
    event.add("dtstart", _in_zone(one.begins, zone))
    event.add("dtend", _in_zone(one.ends, zone))
    event.add("status", STATUS[one.canceled])
    if not isinstance(one.begins, datetime):
        # A due day takes nobody's time.
        event.add("transp", "TRANSPARENT")
    if one.place:
        event.add("location", plain(one.place))
    if one.words:
        event.add("description", plain(one.words))
    event.add("url", f"{base}{one.url}")
    event.add("class", "PRIVATE")
    return event


def _in_zone(when: date | datetime, zone: ZoneInfo) -> date | datetime:
    return when.astimezone(zone) if isinstance(when, datetime) else when
