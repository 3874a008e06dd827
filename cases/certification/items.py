"""Items 14 to 17 and 29 to 44 of the certificate as data: choices, which are asked, which are left.

Numbers, labels and options: US Standard Certificate of Death, 2003 revision (NCHS). States change
the form; the office's own form goes before it. When an item is asked: NCHS handbooks and edit
specifications, from memory.
"""

from __future__ import annotations

from typing import Any

from cases.certification.causes import names_injury, names_transport
from cases.certification.rules import Manner, lines_of
from me_office.entries import Entry

ACTUAL_OR_PRESUMED = [("actual", "actual"), ("presumed", "presumed")]
YES_NO = [("yes", "yes"), ("no", "no")]
YES_NO_UNKNOWN = [*YES_NO, ("unknown", "unknown")]
TOBACCO = [("yes", "yes"), ("no", "no"), ("probably", "probably"), ("unknown", "unknown")]
PREGNANCY = [
    ("1", "not pregnant within the past year"),
    ("2", "pregnant at time of death"),
    ("3", "not pregnant, but pregnant within 42 days of death"),
    ("4", "not pregnant, but pregnant 43 days to 1 year before death"),
    ("9", "unknown if pregnant within the past year"),
]
PLACES_OF_DEATH = [
    ("inpatient", "hospital: inpatient"),
    ("emergency", "hospital: emergency room or outpatient"),
    ("dead on arrival", "hospital: dead on arrival"),
    ("hospice", "hospice facility"),
    ("nursing home", "nursing home or long-term care facility"),
    ("home", "decedent’s home"),
    ("other", "other"),
    ("unknown", "unknown"),
]
TRANSPORT_ROLES = [
    ("driver", "driver or operator"),
    ("passenger", "passenger"),
    ("pedestrian", "pedestrian"),
    ("other", "other"),
]
# Items 9, 45 and 51.
MARITAL = [
    ("married", "married"),
    ("married but separated", "married but separated"),
    ("widowed", "widowed"),
    ("divorced", "divorced"),
    ("never married", "never married"),
    ("unknown", "unknown"),
]
CERTIFIERS = [
    ("examiner", "medical examiner or coroner"),
    ("pronouncing", "pronouncing and certifying physician"),
    ("certifying", "certifying physician"),
]
EDUCATION = [
    ("8th grade", "8th grade or less"),
    ("no diploma", "9th to 12th grade, no diploma"),
    ("high school", "high school graduate, or GED completed"),
    ("some college", "some college credit, no degree"),
    ("associate", "associate degree"),
    ("bachelor", "bachelor’s degree"),
    ("master", "master’s degree"),
    ("doctorate", "doctorate or professional degree"),
    ("unknown", "unknown"),
]
# Ages in years at which item 36 is asked. NCHS edit specifications, from memory.
PREGNANCY_FROM, PREGNANCY_TO = 5, 75

DEATH_FIELDS = (
    "death_on", "death_on_is", "death_time", "death_time_is",
    "death_place_kind", "death_place_name", "death_city", "death_county", "death_state",
    "death_zip",
)  # fmt: skip
OTHER_FIELDS = ("autopsy", "autopsy_available", "tobacco", "pregnancy")
INJURY_FIELDS = (
    "injury_on", "injury_time", "injury_at_words", "injury_place", "injury_at_work",
    "injury_street", "injury_city", "injury_state", "injury_zip", "injury_how",
    "transport_role", "transport_other",
)  # fmt: skip

CERTIFIER_FIELDS = ("certifier_type", "certifier_license")


def has_injury(entry: Entry) -> bool:
    """Tell whether part I or part II names an injury, a poisoning or another outer cause."""
    return names_injury("; ".join([*lines_of(entry), str(entry.get("contributing") or "")]))


def injury_is_asked(entry: Entry) -> bool:
    """Tell whether items 38 to 44 are asked: an injury caused or contributed to the death."""
    if entry.get("manner") in {Manner.ACCIDENT, Manner.SUICIDE, Manner.HOMICIDE}:
        return True
    return has_injury(entry)


def transport_is_asked(entry: Entry) -> bool:
    """Tell whether item 44 is asked: the injury was one of transportation."""
    return injury_is_asked(entry) and names_transport(str(entry.get("injury_how") or ""))


def pregnancy_is_asked(sex: str, age_years: float | None) -> bool:
    """Tell whether item 36 is asked: a female of the ages above, or of unknown age."""
    return sex == "female" and (age_years is None or PREGNANCY_FROM <= age_years <= PREGNANCY_TO)


def injury_items_left(entry: Entry) -> list[str]:
    """The items on the injury that are asked and not stated, each with its number."""
    if not injury_is_asked(entry):
        return []
    in_words = bool(entry.get("injury_at_words"))
    asked = [
        ("date of injury (38)", bool(entry.get("injury_on")) or in_words),
        ("time of injury (39)", bool(entry.get("injury_time")) or in_words),
        ("place of injury (40)", bool(entry.get("injury_place"))),
        ("injury at work (41)", bool(entry.get("injury_at_work"))),
        ("location of injury (42)", any(entry.get(f"injury_{part}") for part in _LOCATION)),
        ("how the injury occurred (43)", bool(entry.get("injury_how"))),
    ]
    if transport_is_asked(entry):
        asked.append(("role in a transportation injury (44)", bool(entry.get("transport_role"))))
    return [words for words, is_stated in asked if not is_stated]


_LOCATION = ("street", "city", "state")


def intervals_left(entry: Entry) -> list[str]:
    """The filled lines of part I whose interval from onset to death is not stated."""
    if entry.get("manner") == Manner.PENDING:
        return []
    return [
        f"interval of line {letter} (32)"
        for letter in "abcd"
        if str(entry.get(f"cause_{letter}") or "").strip()
        and not str(entry.get(f"interval_{letter}") or "").strip()
    ]


def certifier_items_left(entry: Entry) -> list[str]:
    """The items on the certifier that are not stated, each with its number."""
    asked = [("type of certifier (45)", "certifier_type"), ("license (48)", "certifier_license")]
    return [words for words, name in asked if not entry.get(name)]


def other_items_left(entry: Entry, *, sex: str = "", age_years: float | None = None) -> list[str]:
    """The other items of the certifier that are asked and not stated, each with its number."""
    asked = [
        ("place of death (14)", "death_place_kind", True),
        ("date of death (29)", "death_on", True),
        ("time of death (30)", "death_time", True),
        ("autopsy performed (33)", "autopsy", True),
        ("autopsy findings available (34)", "autopsy_available", entry.get("autopsy") == "yes"),
        ("tobacco use (35)", "tobacco", True),
        ("pregnancy (36)", "pregnancy", pregnancy_is_asked(sex, age_years)),
    ]
    return [words for words, name, is_asked in asked if is_asked and not entry.get(name)]


def wrong_in_items(entry: Entry, *, sex: str = "", today: Any = None) -> dict[str, str]:
    """Return what cannot be said of the items, by field."""
    wrong: dict[str, str] = {}
    for name in ("death_on", "injury_on"):
        if entry.get(name) and today is not None and entry[name] > today:
            wrong[name] = "This date is in the future."
    death, injury = entry.get("death_on"), entry.get("injury_on")
    if death and injury and injury > death and "injury_on" not in wrong:
        wrong["injury_on"] = "The injury cannot be after the death."
    for name, certain in (("death_on", "death_on_is"), ("death_time", "death_time_is")):
        if entry.get(name) and not entry.get(certain):
            wrong[certain] = "Say whether it is actual or presumed."
        elif entry.get(certain) and not entry.get(name):
            wrong[name] = "Enter it, or leave both out."
    if entry.get("autopsy_available") and entry.get("autopsy") != "yes":
        wrong["autopsy_available"] = "Asked only when an autopsy was performed."
    if entry.get("pregnancy") and sex == "male":
        wrong["pregnancy"] = "Asked only when the decedent is female."
    if entry.get("transport_other") and entry.get("transport_role") != "other":
        wrong["transport_other"] = "Only for the role “other”."
    if entry.get("transport_role") == "other" and not entry.get("transport_other"):
        wrong["transport_other"] = "Say which."
    return wrong
