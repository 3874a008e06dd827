"""What may be said of a decedent: age in words, race and origin, how sure identity is. Pure.

Options of race and Hispanic origin: US Standard Certificate of Death, 2003 revision, items 52 and
53; "unknown" is the office's own.
"""

from __future__ import annotations

import re
from collections.abc import Sequence

from me_office.statements import COMMON_PRACTICE, FROM_MEMORY, statement

HISPANIC_ORIGINS = [
    ("no", "no, not Spanish, Hispanic or Latino"),
    ("mexican", "yes, Mexican, Mexican American or Chicano"),
    ("puerto rican", "yes, Puerto Rican"),
    ("cuban", "yes, Cuban"),
    ("other", "yes, other Spanish, Hispanic or Latino"),
    ("unknown", "unknown"),
]
UNKNOWN = "unknown"
RACES = [
    ("white", "White"),
    ("black", "Black or African American"),
    ("american indian", "American Indian or Alaska Native"),
    ("asian indian", "Asian Indian"),
    ("chinese", "Chinese"),
    ("filipino", "Filipino"),
    ("japanese", "Japanese"),
    ("korean", "Korean"),
    ("vietnamese", "Vietnamese"),
    ("other asian", "Other Asian"),
    ("native hawaiian", "Native Hawaiian"),
    ("guamanian", "Guamanian or Chamorro"),
    ("samoan", "Samoan"),
    ("other pacific islander", "Other Pacific Islander"),
    ("other", "Other"),
    (UNKNOWN, UNKNOWN),
]
_WITH_WORDS = frozenset({"american indian", "other asian", "other pacific islander", "other"})

DAYS_A_YEAR = 365.25
_MONTHS_FROM_DAYS, _YEARS_FROM = 60, 2

VISUAL_HELP = statement(
    "identity.visual-help",
    "Recognition by a person fails in faces that are burned, decomposed, swollen or injured: "
    "a comparison (fingerprints, dental, DNA, radiograph) then says more.",
    where="Body and identification",
    source=COMMON_PRACTICE,
)
VISUAL_CHANGED = statement(
    "identity.visual-changed",
    "Identity is confirmed by sight, and the file speaks of a changed body ({words}). Recognition "
    "fails in changed faces: consider a comparison (fingerprints, dental, DNA, radiograph).",
    where="Body and identification",
    source=COMMON_PRACTICE,
)
PRESUMPTIVE = statement(
    "identity.presumptive",
    "{method} alone is usually presumptive. Say what was compared and why it is enough, or enter "
    "the identity as tentative.",
    where="Body and identification",
    source="NAME Forensic Autopsy Performance Standards, C7 (2016 text, title seen; what it asks: "
    f"{FROM_MEMORY})",
)
# Methods that alone do not tell one person from every other.
PRESUMPTIVE_METHODS = {
    "documents": "An identification by documents or property",
    "circumstances": "An identification by circumstances",
    "tattoo or scar": "An identification by a tattoo, scar or other mark",
}
_CHANGED = re.compile(
    r"\b(?:burn(?:ed|t|s)?|char(?:red|ring)|decompos\w*|bloat\w*|skeletoni[sz]\w*|mummif\w*|"
    r"skin slippage|putref\w*|swollen face|face (?:is )?(?:swollen|injured|crushed)|"
    r"facial (?:injur\w*|fractures?)|disfigured|macerat\w*)\b",
    re.I,
)


def age_words(years: float, read: str = "") -> str:
    """An age in the unit people use: as it was given, else hours, days, months or years."""
    if read:
        number, _, unit = read.partition(" ")
        return _number_of(number, unit.removesuffix("s"))
    days = years * DAYS_A_YEAR
    if days < 1:
        return _number_of(str(round(days * 24)), "hour")
    if days < _MONTHS_FROM_DAYS:
        return _number_of(str(round(days)), "day")
    if years < _YEARS_FROM:
        return _number_of(str(round(years * 12)), "month")
    return _number_of(str(int(years)), "year")


def _number_of(number: str, unit: str) -> str:
    return f"{number} {unit}" if number == "1" else f"{number} {unit}s"


def wrong_in_race(races: Sequence[str], words: str) -> dict[str, str]:
    """Return what cannot be said of race, by field."""
    if UNKNOWN in races and len(races) > 1:
        return {"race": "“Unknown” cannot be combined with other entries."}
    if len(set(races)) < len(races):
        return {"race": "Each may be chosen once."}
    if words and not _WITH_WORDS & set(races):
        return {"race_words": "Choose the entry that these words belong to."}
    return {}


def wrong_in_origin(origin: str, other: str) -> dict[str, str]:
    """Return what cannot be said of Hispanic origin, by field."""
    if other and origin != "other":
        return {"hispanic_origin_other": "Only for another Hispanic origin."}
    return {}


def changed_words(*texts: str) -> list[str]:
    """Words in the file that speak of a body whose face may be changed, each once."""
    found = [match.group(0).lower() for text in texts for match in _CHANGED.finditer(text or "")]
    return list(dict.fromkeys(found))
