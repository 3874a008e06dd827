"""Every item of the certificate, in its order, as the record says it. Pure.

Numbers and labels: US Standard Certificate of Death, 2003 revision (NCHS). States change the form.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from cases.certification.codes import CERTIFIER, MANNER, with_code
from cases.rules.decedent import RACES

NOT_STATED = "not stated"
ON_PAPER = "on the certificate itself"

DECEDENT, DEATH, OTHERS = "The decedent", "Place of death", "Disposition"
PRONOUNCED, CAUSE, INJURY = "Pronouncement and date of death", "Cause and manner", "The injury"
CERTIFIER_PART, REGISTRAR, MORE = "Certifier", "Registrar", "Education, origin, race and work"


@dataclass(frozen=True, slots=True)
class SheetRow:
    """One item: its number, what it asks, and what the record says; empty where it says nothing."""

    item: str
    label: str
    text: str
    section: str


# What other rooms know of an item; each is registered by its room, and asked for a case.
_ELSEWHERE: dict[str, Callable[[Any], Mapping[str, str]]] = {}


def register_elsewhere(room: str, read: Callable[[Any], Mapping[str, str]]) -> None:
    """Let a room say items (by number) that it keeps; the same room again replaces it."""
    _ELSEWHERE[room] = read


def elsewhere(case: Any) -> dict[str, str]:
    """Return what other rooms say of a case's certificate, by item."""
    said: dict[str, str] = {}
    for read in _ELSEWHERE.values():
        said.update(read(case))
    return said


def age_parts(
    born: date | None, died: date | None, years: float | None, read: str
) -> tuple[str, str, str]:
    """Age for items 4a, 4b and 4c: completed years, months and days, hours and minutes.

    Only one of the three is stated: the form asks in years, under one year in months and days,
    under one day in hours. `read` is the age as somebody gave it ("10 days").
    """
    if born is not None and died is not None and died >= born:
        full = died.year - born.year - ((died.month, died.day) < (born.month, born.day))
        if full:
            return str(full), "", ""
        months = (died.year - born.year) * 12 + died.month - born.month - (died.day < born.day)
        if died > born:
            return "", _months_and_days(born, died, months), ""
        return "", "", read if "hour" in read or "minute" in read else ""
    if years is None:
        return "", "", ""
    if "hour" in read or "minute" in read:
        return "", "", read
    if years < 1:
        return "", read or f"about {round(years * 12)} months", ""
    return str(int(years)), "", ""


def _months_and_days(born: date, died: date, months: int) -> str:
    # Whole months first, then the days since: of the 31st, a shorter month ends on its last day.
    year, month = divmod(born.month - 1 + months, 12)
    last = _days_in(born.year + year, month + 1)
    mark = date(born.year + year, month + 1, min(born.day, last))
    days = (died - mark).days
    said = [_number(months, "month")] if months else []
    return ", ".join([*said, _number(days, "day")] if days or not said else said)


def _days_in(year: int, month: int) -> int:
    after = date(year + month // 12, month % 12 + 1, 1)
    return (after - date(year, month, 1)).days


def _number(count: int, unit: str) -> str:
    return f"{count} {unit}" if count == 1 else f"{count} {unit}s"


def races(said: Iterable[str], words: str) -> str:
    """Race as item 53 has it: what was chosen, and what was written beside it."""
    names = dict(RACES)
    return ", ".join([*(names.get(one, one) for one in said), *([words] if words else [])])


def certificate_rows(said: Mapping[str, str]) -> list[SheetRow]:
    """Return the certificate's items in order; `said` holds what the record says, by item."""
    return [SheetRow(item, label, said.get(item, ""), section) for item, label, section in ITEMS]


def coded_manner(manner: str, words: str) -> str:
    """Item 37 with its code."""
    return with_code(words, MANNER.get(manner, ""))


def coded_certifier(kind: str, words: str) -> str:
    """Item 45 with its code."""
    return with_code(words, CERTIFIER.get(kind, ""))


def coded_pregnancy(code: str, words: str) -> str:
    """Item 36 with its code."""
    return with_code(words, code)


@dataclass(frozen=True, slots=True)
class ItemChange:
    """An item that reads otherwise than it was stated."""

    item: str
    label: str
    was: str
    now: str


def stated_rows(rows: Iterable[SheetRow]) -> list[dict[str, str]]:
    """The certifier's items as they are frozen with a statement to the registrar."""
    return [
        {"item": row.item, "label": row.label, "text": row.text}
        for row in rows
        if row.item in STATED
    ]


def changes_since(
    stated: Iterable[Mapping[str, str]], now: Iterable[Mapping[str, str]]
) -> list[ItemChange]:
    """Return which items read otherwise in the second than in the first, in the form's order."""
    before = {row["item"]: row["text"] for row in stated}
    return [
        ItemChange(row["item"], row["label"], before.get(row["item"], ""), row["text"])
        for row in now
        if row["text"] != before.get(row["item"], "")
    ]


ITEMS: tuple[tuple[str, str, str], ...] = (
    ("1", "Legal name", DECEDENT),
    ("1 (also)", "Also known as", DECEDENT),
    ("2", "Sex", DECEDENT),
    ("3", "Social Security number", DECEDENT),
    ("4a", "Age at last birthday, years", DECEDENT),
    ("4b", "Under 1 year: months, days", DECEDENT),
    ("4c", "Under 1 day: hours, minutes", DECEDENT),
    ("5", "Date of birth", DECEDENT),
    ("6", "Birthplace", DECEDENT),
    ("7", "Residence, as first recorded", DECEDENT),
    ("7a", "Residence: state", DECEDENT),
    ("7b", "Residence: county", DECEDENT),
    ("7c", "Residence: city or town", DECEDENT),
    ("7d", "Residence: street and number", DECEDENT),
    ("7e", "Residence: apartment", DECEDENT),
    ("7f", "Residence: ZIP code", DECEDENT),
    ("7g", "Residence: inside city limits", DECEDENT),
    ("8", "Ever in US armed forces", DECEDENT),
    ("9", "Marital status at time of death", DECEDENT),
    ("10", "Surviving spouse’s name", DECEDENT),
    ("11", "Father’s name", DECEDENT),
    ("12", "Mother’s name before first marriage", DECEDENT),
    ("13a", "Informant’s name", DECEDENT),
    ("13b", "Informant’s relationship", DECEDENT),
    ("13c", "Informant’s mailing address", DECEDENT),
    ("14", "Place of death", DEATH),
    ("15", "Facility name, or street and number", DEATH),
    ("16", "City or town, state, ZIP code", DEATH),
    ("17", "County of death", DEATH),
    ("18", "Method of disposition", OTHERS),
    ("19", "Place of disposition", OTHERS),
    ("20", "Location of disposition", OTHERS),
    ("21", "Funeral facility, name and address", OTHERS),
    ("22", "Funeral service licensee", OTHERS),
    ("23", "License number of the licensee", OTHERS),
    ("24", "Date pronounced dead", PRONOUNCED),
    ("25", "Time pronounced dead", PRONOUNCED),
    ("26", "Person who pronounced", PRONOUNCED),
    ("27", "License number of that person", PRONOUNCED),
    ("28", "Date signed by that person", PRONOUNCED),
    ("29", "Date of death", PRONOUNCED),
    ("30", "Time of death", PRONOUNCED),
    ("31", "Medical examiner or coroner contacted", PRONOUNCED),
    ("32 I a", "Immediate cause", CAUSE),
    ("32 I a, interval", "Onset to death", CAUSE),
    ("32 I b", "Due to", CAUSE),
    ("32 I b, interval", "Onset to death", CAUSE),
    ("32 I c", "Due to", CAUSE),
    ("32 I c, interval", "Onset to death", CAUSE),
    ("32 I d", "Due to", CAUSE),
    ("32 I d, interval", "Onset to death", CAUSE),
    ("32 II", "Other significant conditions", CAUSE),
    ("33", "Autopsy performed", CAUSE),
    ("34", "Autopsy findings available to complete the cause", CAUSE),
    ("35", "Tobacco use contributed", CAUSE),
    ("36", "Pregnancy, if female", CAUSE),
    ("37", "Manner of death", CAUSE),
    ("38", "Date of injury", INJURY),
    ("39", "Time of injury", INJURY),
    ("38, 39", "Date and time in words", INJURY),
    ("40", "Place of injury", INJURY),
    ("41", "Injury at work", INJURY),
    ("42", "Location of injury", INJURY),
    ("43", "How the injury occurred", INJURY),
    ("44", "Role, if a transportation injury", INJURY),
    ("45", "Type of certifier", CERTIFIER_PART),
    ("46", "Name and address of the certifier", CERTIFIER_PART),
    ("47", "Title of the certifier", CERTIFIER_PART),
    ("48", "License number of the certifier", CERTIFIER_PART),
    ("49", "Date certified", CERTIFIER_PART),
    ("50", "Date filed by the registrar", REGISTRAR),
    ("50 (number)", "State file number", REGISTRAR),
    ("51", "Education", MORE),
    ("52", "Hispanic origin", MORE),
    ("53", "Race", MORE),
    ("54", "Usual occupation", MORE),
    ("55", "Kind of business or industry", MORE),
)
# What a certifier states: everything of these stands on the certification itself.
STATED = frozenset(
    {
        "14", "15", "16", "17", "29", "30", "32 II",
        *(f"32 I {letter}{more}" for letter in "abcd" for more in ("", ", interval")),
        "33", "34", "35", "36", "37", "38", "39", "38, 39", "40", "41", "42", "43", "44",
        "45", "48",
    }
)  # fmt: skip
