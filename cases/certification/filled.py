"""What the record says of each item of the certificate, by its number."""

from __future__ import annotations

from typing import Any

from django.conf import settings
from django.utils import timezone

from cases.certification.facts import time_words
from cases.certification.models import Certification, Particulars, RegistrarStatement
from cases.certification.sheet import (
    age_parts,
    coded_certifier,
    coded_manner,
    coded_pregnancy,
    elsewhere,
    races,
)
from me_office.shell.templatetags.office import day

IN_THIS_OFFICE = "yes: this office has the case"


def said_in(
    case: Any,
    certification: Certification | None,
    particulars: Particulars | None,
    last: RegistrarStatement | None,
) -> dict[str, str]:
    """Return what the record of a case says, by item; `case` has its decedent and report."""
    said = {
        **_decedent(case.decedent, certification),
        **_pronounced(case),
        **elsewhere(case),
        **(stated_in(certification) if certification else {}),
        **(_certifier(certification) if certification else {}),
        **(_of_others(particulars) if particulars else {}),
        "31": IN_THIS_OFFICE,
        "49": day(last.certified_on) if last else "",
    }
    return {item: text for item, text in said.items() if text}


def stated_in(record: Certification) -> dict[str, str]:
    """Return the certifier's own items, all of which stand on the certification."""
    said = {
        "14": record.get_death_place_kind_display(),
        "15": record.death_place_name,
        "16": _joined(record.death_city, _joined(record.death_state, record.death_zip, by=" ")),
        "17": record.death_county,
        "29": _with(day(record.death_on), record.death_on_is),
        "30": _with(time_words(record.death_time), record.death_time_is),
        "32 II": record.contributing,
        "33": record.autopsy,
        "34": record.autopsy_available,
        "35": record.tobacco,
        "36": coded_pregnancy(record.pregnancy, record.get_pregnancy_display()),
        "37": coded_manner(record.manner, record.manner_words),
        "38": day(record.injury_on),
        "39": time_words(record.injury_time),
        "38, 39": record.injury_at_words,
        "40": record.injury_place,
        "41": record.injury_at_work,
        "42": _joined(
            record.injury_street,
            record.injury_city,
            _joined(record.injury_state, record.injury_zip, by=" "),
        ),
        "43": record.injury_how,
        "44": _joined(record.get_transport_role_display(), record.transport_other, by=": "),
        "45": coded_certifier(record.certifier_type, record.get_certifier_type_display()),
        "48": record.certifier_license,
    }
    for letter in "abcd":
        said[f"32 I {letter}"] = getattr(record, f"cause_{letter}")
        said[f"32 I {letter}, interval"] = getattr(record, f"interval_{letter}")
    return said


def certifier_words(record: Certification) -> str:
    """Name and address of the certifier, item 46."""
    address = " ".join(settings.OFFICE_ADDRESS.split())
    return _joined(record.stated_by.printed_name, settings.OFFICE_NAME, address)


def _certifier(record: Certification) -> dict[str, str]:
    return {"46": certifier_words(record), "47": record.stated_by.job_title}


def _decedent(decedent: Any, certification: Certification | None) -> dict[str, str]:
    died = certification.death_on if certification else None
    years = None if decedent.age_years is None else float(decedent.age_years)
    parts = age_parts(decedent.born_on, died, years, decedent.age_years_read)
    origin = decedent.hispanic_origin_other or decedent.get_hispanic_origin_display()
    return {
        "1": decedent.full_name,
        "1 (also)": decedent.also_known_as,
        "2": decedent.get_sex_display(),
        **dict(zip(("4a", "4b", "4c"), parts, strict=True)),
        "5": day(decedent.born_on),
        "7": decedent.home_address,
        "52": origin,
        "53": races(decedent.race, decedent.race_words),
    }


def _pronounced(case: Any) -> dict[str, str]:
    report = getattr(case, "report_of_death", None)
    if report is None:
        return {}
    at = report.pronounced_at
    return {
        "24": day(at) if at else "",
        "25": timezone.localtime(at).strftime("%H:%M %Z") if at else "",
        "26": report.pronounced_by,
    }


def _of_others(record: Particulars) -> dict[str, str]:
    return {
        "3": record.social_security,
        "6": record.birthplace,
        "7a": record.home_state,
        "7b": record.home_county,
        "7c": record.home_city,
        "7d": record.home_street,
        "7e": record.home_apartment,
        "7f": record.home_zip,
        "7g": record.inside_city,
        "8": record.armed_forces,
        "9": record.get_marital_status_display(),
        "10": record.spouse,
        "11": record.father,
        "12": record.mother,
        "13a": record.informant,
        "13b": record.informant_relation,
        "13c": record.informant_address,
        "22": record.funeral_licensee,
        "23": record.funeral_license,
        "27": record.pronouncer_license,
        "28": day(record.pronouncer_signed_on),
        "50": day(record.filed_on),
        "50 (number)": record.state_file_number,
        "51": record.get_education_display(),
        "54": record.occupation,
        "55": record.industry,
    }


def _with(words: str, certainty: str) -> str:
    return f"{words} ({certainty})" if words and certainty else words


def _joined(*parts: str, by: str = ", ") -> str:
    return by.join(part for part in parts if part)
