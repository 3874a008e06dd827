"""What a rule of counting and a closure may be, and a rule as the engine takes it. Pure."""

from __future__ import annotations

import re
from collections.abc import Mapping
from datetime import date
from typing import Any

from findings.calculations.counting import (
    SATURDAY,
    SUNDAY,
    Added,
    ClosedAs,
    Moves,
    RuleSet,
    Service,
    day_words,
)
from findings.calculations.holiday_calendars import FEDERAL, NO_HOLIDAYS, calendar_names
from me_office.entries import Entry

# On which days of every week a period may not end.
WEEKENDS: Mapping[str, frozenset[int]] = {
    "both": frozenset({SATURDAY, SUNDAY}),
    "sunday": frozenset({SUNDAY}),
    "none": frozenset(),
}
# What a line of paragraphs may be about.
PARAGRAPHS = ("event", "days", "court days", "end", "hours", "closed", "backward", "service")
MOST_ADDED = 60
LONGEST_CLOSURE_DAYS = 400
_WAY = re.compile(
    r"(?P<way>[^:]{1,60}):\s*(?:(?P<nothing>nothing)"
    r"|(?P<days>\d{1,2}) (?P<court>court )?days? (?P<added>after the end|to the period))",
    re.I,
)
WAY_WORDS = (
    "Write each as “mail: 3 days after the end”, “overnight: 2 court days to the period” or “by "
    "hand: nothing”."
)
PARAGRAPH_WORDS = "Write each as “end: (a)(1)(C)”, beginning with one of: " + ", ".join(PARAGRAPHS)


class WrongLine(ValueError):
    """A line that cannot be read; its words say which."""


def lines_of(text: str) -> list[str]:
    """Return the lines that say something."""
    return [line.strip() for line in text.splitlines() if line.strip()]


def services_of(text: str) -> tuple[Service, ...]:
    """Read what each way of service adds, a line a way. Raises WrongLine."""
    found: list[Service] = []
    for line in lines_of(text):
        read = _WAY.fullmatch(line.rstrip("."))
        if read is None:
            raise WrongLine(f"“{line[:60]}” cannot be read. {WAY_WORDS}")
        way, days = read["way"].strip(), int(read["days"] or 0)
        if days > MOST_ADDED:
            raise WrongLine(f"“{line[:60]}”: at most {MOST_ADDED} days.")
        if way.lower() in {one.way.lower() for one in found}:
            raise WrongLine(f"“{way}” is there twice.")
        added = Added((read["added"] or Added.AFTER_END).lower())
        found.append(Service(way, days, bool(read["court"]), added))
    return tuple(found)


def service_words(services: tuple[Service, ...]) -> str:
    """Write ways of service as `services_of` reads them."""
    return "\n".join(f"{one.way}: {_adds(one)}" for one in services)


def _adds(service: Service) -> str:
    if not service.days:
        return "nothing"
    unit = "court day" if service.court_days else "day"
    return f"{service.days} {unit}{'' if service.days == 1 else 's'} {service.added}"


def paragraphs_of(text: str) -> dict[str, str]:
    """Read the paragraph for each step, a line a step. Raises WrongLine."""
    found: dict[str, str] = {}
    for line in lines_of(text):
        step, colon, paragraph = line.partition(":")
        step = step.strip().lower()
        if not colon or step not in PARAGRAPHS or not paragraph.strip():
            raise WrongLine(f"“{line[:60]}” cannot be read. {PARAGRAPH_WORDS}.")
        if step in found:
            raise WrongLine(f"“{step}” is there twice.")
        found[step] = paragraph.strip()[:60]
    return found


def paragraph_words(paragraphs: Mapping[str, str]) -> str:
    """Write paragraphs as `paragraphs_of` reads them."""
    return "\n".join(f"{step}: {where}" for step, where in paragraphs.items())


def ruleset_of(values: Mapping[str, Any]) -> RuleSet:
    """Return a rule as it was entered, as the engine takes it. Raises WrongLine."""
    return RuleSet(
        name=values["name"],
        source=values["source"],
        calendar=values["calendar"],
        counts_event_day=values["counts_event_day"],
        court_days_below=values["court_days_below"] or 0,
        closed_weekdays=WEEKENDS[values["weekend"]],
        forward=Moves(values["forward"]),
        backward=Moves(values["backward"]),
        closed_as=ClosedAs(values["closed_as"]),
        local_only_forward=values["local_only_forward"],
        services=services_of(values["ways"]),
        counts_hours=values["counts_hours"],
        paragraphs=paragraphs_of(values["paragraphs"]),
    )


def entered_of(rule: RuleSet) -> dict[str, object]:
    """Return a rule as the form shows it: what `ruleset_of` reads."""
    weekend = next(key for key, days in WEEKENDS.items() if days == rule.closed_weekdays)
    return {
        "name": rule.name,
        "source": rule.source,
        "calendar": rule.calendar,
        "counts_event_day": rule.counts_event_day,
        "court_days_below": rule.court_days_below,
        "weekend": weekend,
        "forward": rule.forward.value,
        "backward": rule.backward.value,
        "closed_as": rule.closed_as.value,
        "local_only_forward": rule.local_only_forward,
        "ways": service_words(rule.services),
        "counts_hours": rule.counts_hours,
        "paragraphs": paragraph_words(rule.paragraphs),
    }


_NO_ENDS = {
    "both": "a Saturday, a Sunday or a holiday",
    "sunday": "a Sunday or a holiday",
    "none": "a holiday",
}
_GOES = {
    Moves.NEXT: "goes on to the next open day",
    Moves.PREVIOUS: "goes back to the last open day before",
    Moves.STAYS: "stays where it is",
}
_CLOSED = {
    ClosedAs.FORWARD: "an end on it goes on to the first open day after, never back",
    ClosedAs.HOLIDAY: "is taken as a holiday",
    ClosedAs.NOT: "the rule does not say",
}


def told_of(rule: RuleSet) -> list[tuple[str, str]]:
    """Return all that a rule says, in words, as whoever reads it asks for it."""
    calendar = {FEDERAL: "federal holidays", NO_HOLIDAYS: "no holidays"}
    weekend = next(key for key, days in WEEKENDS.items() if days == rule.closed_weekdays)
    short = "every day counts, however short the period"
    if rule.court_days_below:
        short = f"periods below {rule.court_days_below} days count court days alone"
    hours = "every hour counts; an end on a closed day moves to the same time on an open day"
    said = [
        ("Where the rule stands", rule.source),
        ("Calendar of holidays", calendar.get(rule.calendar, f"{rule.calendar}, a state")),
        ("Day of the event", "counted" if rule.counts_event_day else "not counted"),
        ("Short periods", short),
        ("A period may not end on", _NO_ENDS[weekend]),
        ("An end after the event that falls on such a day", _GOES[rule.forward]),
        ("An end before the event that falls on such a day", _GOES[rule.backward]),
        ("A day on which the court’s office is closed", _CLOSED[rule.closed_as]),
        (
            "Holidays of the state",
            "count only for periods after an event"
            if rule.local_only_forward
            else "count for periods after and before an event",
        ),
        ("Hours", hours if rule.counts_hours else "the rule does not say how they are counted"),
        ("What each way of service adds", service_words(rule.services)),
        ("Paragraphs", paragraph_words(rule.paragraphs)),
    ]
    if rule.since:
        said.append(("In this way since", day_words(rule.since)))
    return [(label, words) for label, words in said if words]


def wrong_in_rule(entry: Entry, today: date) -> dict[str, str]:
    """Return what cannot be so of a rule, by field."""
    wrong: dict[str, str] = {}
    for name, read in (("ways", services_of), ("paragraphs", paragraphs_of)):
        try:
            read(str(entry.get(name) or ""))
        except WrongLine as found:
            wrong[name] = str(found)
    if "ways" not in wrong and not lines_of(str(entry.get("ways") or "")):
        wrong["ways"] = f"Say what each way of service adds. {WAY_WORDS}"
    if entry.get("calendar") and entry["calendar"] not in calendar_names():
        wrong["calendar"] = "Choose one of the calendars."
    by, on = str(entry.get("approved_by") or "").strip(), entry.get("approved_on")
    if by and not on:
        wrong["approved_on"] = "Enter the day on which counsel approved it."
    if on and not by:
        wrong["approved_by"] = "Enter who approved it."
    if isinstance(on, date) and on > today:
        wrong["approved_on"] = "This date is in the future."
    return wrong


def wrong_in_closure(entry: Entry, _today: date | None = None) -> dict[str, str]:
    """Return what cannot be so of a closure, by field."""
    first, last = entry.get("first_on"), entry.get("last_on")
    if isinstance(first, date) and isinstance(last, date):
        if last < first:
            return {"last_on": "The last day cannot be before the first."}
        if (last - first).days > LONGEST_CLOSURE_DAYS:
            return {"last_on": f"At most {LONGEST_CLOSURE_DAYS} days; enter a longer one in parts."}
    return {}


def court_key(court: str) -> str:
    """A court's name without case and blanks, by which closures are found."""
    return " ".join(court.split()).casefold()
