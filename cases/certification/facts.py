"""Items of the certificate as pairs of label and words, for the page and the report."""

from __future__ import annotations

from datetime import time
from typing import Any

from cases.certification.models import Certification
from me_office.shell.templatetags.office import day, moment

Facts = list[tuple[str, str]]


def fact_groups(record: Certification) -> list[tuple[str, Facts]]:
    """The stated items under their titles; groups without any are left out."""
    groups = [
        ("Death", death_facts(record)),
        ("Other items", other_facts(record)),
        ("The injury", injury_facts(record)),
    ]
    return [(title, facts) for title, facts in groups if facts]


def death_facts(record: Certification) -> Facts:
    """Date, time and place of death, items 14 to 17, 29 and 30."""
    place = _joined(
        record.get_death_place_kind_display(),
        record.death_place_name,
        record.death_city,
        _county(record.death_county),
        _joined(record.death_state, record.death_zip, by=" "),
    )
    return _stated(
        ("Date of death", _with(day(record.death_on), record.death_on_is)),
        ("Time of death", _with(time_words(record.death_time), record.death_time_is)),
        ("Place of death", place),
    )


def other_facts(record: Certification) -> Facts:
    """Items 33 to 36."""
    return _stated(
        ("Autopsy performed", record.autopsy),
        ("Autopsy findings available", record.autopsy_available),
        ("Tobacco use contributed", record.tobacco),
        ("Pregnancy", record.get_pregnancy_display()),
    )


def injury_facts(record: Certification) -> Facts:
    """Items 38 to 44."""
    when = _joined(day(record.injury_on), time_words(record.injury_time))
    location = _joined(
        record.injury_street,
        record.injury_city,
        _joined(record.injury_state, record.injury_zip, by=" "),
    )
    role = record.transport_other or record.get_transport_role_display()
    return _stated(
        ("How the injury occurred", record.injury_how),
        ("Date and time of injury", _joined(when, record.injury_at_words, by="; ")),
        ("Place of injury", record.injury_place),
        ("Location of injury", location),
        ("Injury at work", record.injury_at_work),
        ("Role in a transportation injury", role),
    )


def pronounced(case: Any) -> str:
    """Who pronounced death and when, items 24 to 26, from the report of death."""
    report = getattr(case, "report_of_death", None)
    if report is None or report.pronounced_at is None:
        return ""
    by = f" by {report.pronounced_by}" if report.pronounced_by else ""
    return f"{moment(report.pronounced_at)}{by}"


def time_words(at: time | None) -> str:
    """A time of day on the clock of 24 hours."""
    return f"{at:%H:%M}" if at else ""


def _with(words: str, certainty: str) -> str:
    return f"{words} ({certainty})" if words and certainty else words


def _county(name: str) -> str:
    has_word = name.lower().endswith(("county", "parish", "borough"))
    return f"{name} County" if name and not has_word else name


def _joined(*parts: str, by: str = ", ") -> str:
    return by.join(part for part in parts if part)


def _stated(*facts: tuple[str, str]) -> Facts:
    return [(label, words) for label, words in facts if words]
