"""How terms are said, and color words; what is offered stands in `findings.words.terms`.

Common practice: no published list is reproduced here; an office types any other term.
"""

from __future__ import annotations

import re

from findings.rules import FindingClass
from findings.words.terms import MECHANISMS, REPLACED, TERMS
from me_office.statements import statement

__all__ = ["MECHANISMS", "REPLACED", "TERMS"]

# Terms that take no article.
UNCOUNTED: frozenset[str] = frozenset(
    {
        "adipocere",
        "animal activity",
        "animal scavenging",
        "anthracosis",
        "aspiration",
        "bloating",
        "cachexia",
        "cerebral edema",
        "cerebral herniation",
        "charring",
        "cirrhosis",
        "coronary atherosclerosis",
        "cardiomegaly",
        "decomposition, advanced",
        "decomposition, early",
        "degloving",
        "dehydration",
        "diffuse axonal injury",
        "dismemberment",
        "dyed hair",
        "embalming",
        "emphysema",
        "freezing",
        "frost erythema",
        "gunpowder stippling",
        "hemopericardium",
        "hemoperitoneum",
        "hemothorax",
        "immersion change of hands or feet",
        "left ventricular hypertrophy",
        "maceration",
        "meningitis",
        "nail polish",
        "nephrosclerosis",
        "peritonitis",
        "pneumonia",
        "pneumothorax",
        "poor hygiene",
        "purge fluid",
        "purpura",
        "skeletonization",
        "soot in airway",
        "steatosis",
        "clubbing",
        "decomposition",
        "dental work",
        "drying",
        "ecchymosis",
        "edema",
        "foreign material",
        "green discoloration",
        "hemorrhage",
        "insect activity",
        "jaundice",
        "jewelry",
        "lividity",
        "marbling",
        "mummification",
        "rigor",
        "skin slippage",
        "soil",
        "soot",
        "trace material",
        "washerwoman change",
    }
)

# Yellow was not seen before 18 hours. Nothing else is read from color.
LANGLOIS = "Langlois NEI, Gresham GA. Forensic Sci Int 1991;50:227-238"
COLOR_CAUTION = statement(
    "color.age",
    "Color does not date a bruise, apart from yellow, which is not seen before about 18 hours "
    "(Langlois and Gresham 1991). Record the color as seen.",
    where="Findings",
    source=LANGLOIS,
).text
YELLOW_CAUTION = statement(
    "color.yellow",
    "Yellow in a bruise is not seen before about 18 hours (Langlois and Gresham 1991); it says no "
    "more than that, and its absence says nothing. Check the light and the skin's own color.",
    where="Findings",
    source=LANGLOIS,
).text

COLORS: frozenset[str] = frozenset(
    re.findall(
        r"\w+",
        """red purple violet blue green yellow brown black gray grey white pink orange tan maroon
        magenta crimson olive dusky pale cherry ochre""",
    )
)
SHADES: frozenset[str] = frozenset(
    re.findall(
        r"\w+",
        """light dark deep bright faint dull reddish purplish bluish greenish yellowish brownish
        blackish grayish greyish pinkish orangish and to""",
    )
)


def terms_of(klass: str) -> tuple[str, ...]:
    """The terms offered for a class of finding."""
    return TERMS.get(FindingClass(klass), ()) if klass else ()


def replaced_by(term: str) -> tuple[str, ...]:
    """What is offered in place of a term or mechanism of before; empty for every other."""
    known = {old.casefold(): new for old, new in REPLACED.items()}
    return known.get(term.strip().casefold(), ())


def color_first(seen_as: str) -> tuple[str, str]:
    """Split what was seen into a leading color and the rest.

    "Purple-red, ill-defined edge" gives ("purple-red", "ill-defined edge"); without a leading
    color the first part is empty.
    """
    head, _, rest = seen_as.strip().partition(",")
    words = [word for word in re.split(r"[\s-]+", head.strip().lower()) if word]
    known = all(word in COLORS or word in SHADES for word in words)
    if words and known and any(word in COLORS for word in words):
        return head.strip().lower(), rest.strip()
    return "", seen_as.strip()


def is_bruise(klass: str, term: str) -> bool:
    """Tell whether a finding is a bruise by its class and term."""
    named = re.search(r"\b(contusions?|bruis\w+|ecchymos[ei]s|hematomas?)\b", term, re.I)
    return klass == FindingClass.INJURY and bool(named)


def bruise_caution(klass: str, term: str, *seen: str) -> str:
    """What color allows to be said of a bruise; empty for all else, and where none is named."""
    if not is_bruise(klass, term):
        return ""
    words = " ".join(seen).lower()
    if re.search(r"\byellow(?:ish)?\b", words):
        return YELLOW_CAUTION
    return COLOR_CAUTION if names_a_color(words) else ""


def names_a_color(seen_as: str) -> bool:
    """Tell whether the words name a color, so that the caution is shown beside them."""
    words = set(re.findall(r"[a-z]+", seen_as.lower()))
    return bool(words & (COLORS | {word for word in SHADES if word.endswith("ish")}))
