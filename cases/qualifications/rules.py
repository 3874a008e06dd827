"""What a curriculum vitae says and when it no longer holds. No database, no clock."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

from me_office.entries import Entry
from me_office.statements import COMMON_PRACTICE, statement

LICENSE, CERTIFICATION = "license", "certification"
# Kinds in the order in which they are printed, each with its heading.
HEADINGS = (
    (LICENSE, "Licenses"),
    (CERTIFICATION, "Board certifications"),
    ("degree", "Degrees"),
    ("training", "Training"),
    ("appointment", "Appointments"),
    ("publication", "Publications"),
)
# Only these run out on a day.
RUNS_OUT = frozenset({LICENSE, CERTIFICATION})
FIRST_YEAR = 1930
# A version that was counted longer ago than this is asked about. Common practice: once a year.
COUNT_AGAIN_AFTER = timedelta(days=365)

COUNTED = statement(
    "qualifications.counted",
    "Counted from this office's own records through {day}: examinations in which the person is "
    "recorded as the pathologist and whose end is recorded by that day. Examinations elsewhere, "
    "or before the office kept these records, are not counted.",
    where="Curriculum vitae",
    source=COMMON_PRACTICE,
)
TESTIMONY = statement(
    "qualifications.testimony",
    "Counted from this office's own records through {day}: dates in court recorded as held. "
    "Meetings beforehand are not counted, nor is testimony that was not recorded here.",
    where="Curriculum vitae",
    source=COMMON_PRACTICE,
)
# Federal Rule of Civil Procedure 26(a)(2)(B)(v): testimony of the previous four years.
LISTED_YEARS = 4
RULE = "Federal Rule of Civil Procedure 26(a)(2)(B)(v)"
LISTED = statement(
    "qualifications.listed",
    "As listed by the witness or the office for {first} through {last}. Federal Rule of Civil "
    "Procedure 26(a)(2)(B)(v) requires an expert’s written report to list all other cases in "
    "which, during the previous 4 years, the witness testified as an expert at trial or by "
    "deposition; "
    "hearings are listed here as well. Other courts may require something else.",
    where="Curriculum vitae",
    source=RULE,
)


def why_not_kept(*, supervises: bool, own: bool, works_on_cases: bool) -> str:
    """Return why a person may not change a curriculum vitae, or nothing when they may."""
    if supervises or (own and works_on_cases):
        return ""
    return "You may keep your own curriculum vitae; a supervisor keeps those of others."


def wrong_in_qualification(entry: Entry, today: date) -> dict[str, list[str]]:
    """Return, by field, what cannot be so in one line of a curriculum vitae."""
    wrong: dict[str, list[str]] = {}
    first, last = entry.get("from_year"), entry.get("to_year")
    for name, year in (("from_year", first), ("to_year", last)):
        if year is not None and not FIRST_YEAR <= year <= today.year:
            wrong[name] = [f"A year between {FIRST_YEAR} and {today.year}."]
    if first and last and last < first and "to_year" not in wrong:
        wrong["to_year"] = ["The end cannot be before the beginning."]
    kind = entry.get("kind")
    if kind == LICENSE and not entry.get("place"):
        wrong["place"] = ["Name the state or the board that issued it."]
    if kind == LICENSE and not entry.get("number"):
        wrong["number"] = ["Enter its number."]
    if entry.get("valid_until") and kind not in RUNS_OUT:
        wrong["valid_until"] = ["Only a license or a certification is valid until a day."]
    return wrong


def years_words(kind: str, first: int | None, last: int | None) -> str:
    """Say the years: 2009, 2005 to 2009, since 2011, until 2009; empty where none is known.

    Of a degree or a publication one year is the year itself; nobody holds it "since" then.
    """
    if kind in {"degree", "publication"} and first and not last:
        return str(first)
    if first and last:
        return str(first) if first == last else f"{first} to {last}"
    if last:
        return f"until {last}"
    return f"since {first}" if first else ""


def has_run_out(kind: str, valid_until: date | None, to_year: int | None, on: date) -> bool:
    """Tell whether a license or certification is past its last day and was not given up before."""
    return bool(kind in RUNS_OUT and valid_until and to_year is None and valid_until < on)


@dataclass(frozen=True)
class Line:
    """One line of a curriculum vitae as it was entered."""

    kind: str
    title: str
    place: str = ""
    number: str = ""
    from_year: int | None = None
    to_year: int | None = None
    valid_until: date | None = None
    note: str = ""


def sections(lines: Iterable[Line], on: date) -> list[dict[str, Any]]:
    """Return the lines by heading as a version keeps them, the latest of each first."""
    rows = sorted(lines, key=lambda one: (-(one.to_year or 9999), -(one.from_year or 0), one.title))
    made = []
    for kind, heading in HEADINGS:
        of_kind = [_kept(one, on) for one in rows if one.kind == kind]
        if of_kind:
            made.append({"kind": kind, "heading": heading, "lines": of_kind})
    return made


def _kept(one: Line, on: date) -> dict[str, Any]:
    return {
        "title": one.title,
        "place": one.place,
        "number": one.number,
        "years": years_words(one.kind, one.from_year, one.to_year),
        "valid_until": one.valid_until.isoformat() if one.valid_until else "",
        "expired": has_run_out(one.kind, one.valid_until, one.to_year, on),
        "note": one.note,
    }


def first_listed(last: date) -> date:
    """Return the first day of the years before and through a day that the list covers."""
    try:
        return last.replace(year=last.year - LISTED_YEARS)
    except ValueError:  # 29 February, where that year has none
        return date(last.year - LISTED_YEARS, 3, 1)


def wrong_in_testified(entry: Entry, today: date) -> dict[str, list[str]]:
    """Return, by field, what cannot be so in one line of testimony."""
    wrong: dict[str, list[str]] = {}
    day = entry.get("on_day")
    if day and day.year < FIRST_YEAR:
        wrong["on_day"] = [f"A day since {FIRST_YEAR}."]
    elif day and day > today:
        wrong["on_day"] = ["Testimony that is still to come is not listed."]
    if not entry.get("caption") and not entry.get("cause_number"):
        wrong["caption"] = ["Enter the name of the case or its cause number."]
    return wrong


@dataclass(frozen=True)
class Heard:
    """One line of testimony as it was entered."""

    kind: str
    on_day: date
    caption: str
    court: str
    cause_number: str
    called_by: str


def rows_of_testimony(lines: Iterable[Heard], last: date) -> dict[str, Any]:
    """Return the lines of the years through a day as a version keeps them, the latest first.

    What is listed of the time before is counted beside them.
    """
    first = first_listed(last)
    upto = sorted((one for one in lines if one.on_day <= last), key=_latest_first)
    shown = [one for one in upto if one.on_day >= first]
    return {
        "first": first.isoformat(),
        "last": last.isoformat(),
        "lines": [
            {
                "day": one.on_day.isoformat(),
                "kind": one.kind,
                "caption": one.caption,
                "court": one.court,
                "cause_number": one.cause_number,
                "called_by": one.called_by,
            }
            for one in shown
        ],
        "earlier": len(upto) - len(shown),
    }


def _latest_first(one: Heard) -> tuple[int, str, str, str]:
    return (-one.on_day.toordinal(), one.caption, one.cause_number, one.kind)


def not_listed_words(cases: int) -> str:
    """Say in how many cases of the office the witness was heard that are not listed."""
    if not cases:
        return ""
    what = "1 case" if cases == 1 else f"{cases:,} cases"
    return f"Not listed, although the office records testimony in these years: {what}."


def earlier_words(lines: int) -> str:
    """Say how many lines of the time before are kept and not printed."""
    if not lines:
        return ""
    return f"Listed from before these years and not printed: {lines:,}."


def counted(counts: Mapping[str, int], kinds: Sequence[tuple[str, str]]) -> dict[str, Any]:
    """Return numbers by kind in the order of `kinds`, without those of none, and their sum."""
    return {
        "total": sum(counts.values()),
        "kinds": [[words, counts[key]] for key, words in kinds if counts.get(key)],
    }


def why_not_current(
    *, counted_on: date | None, changed_since: bool, runs_out: Sequence[date], on: date, today: date
) -> str:
    """Return why the last version would not do on a day, in a few words; nothing where it would.

    `runs_out` are the last days of what is still held.
    """
    if counted_on is None:
        return "no curriculum vitae"
    if any(day < on for day in runs_out):
        return "license or certification expired by then"
    if changed_since:
        return "curriculum vitae changed since it was issued"
    if today - counted_on > COUNT_AGAIN_AFTER:
        return f"curriculum vitae counted {counted_on:%Y}"
    return ""


def in_force_words(since: date, until: date | None) -> str:
    """Say when a version stood: 3 Mar 2024 to 2 Nov 2026; since 3 Nov 2026."""
    return f"{_day(since)} to {_day(until)}" if until else f"since {_day(since)}"


def _day(value: date) -> str:
    return f"{value.day} {value:%b %Y}"
