"""Terms of the trade per class of finding, mechanisms and color words. Offered, never forced.

Common practice: no published list is reproduced here; an office types any other term.
"""

from __future__ import annotations

import re

from findings.rules import FindingClass

TERMS: dict[FindingClass, tuple[str, ...]] = {
    FindingClass.INJURY: (
        "Contusion",
        "Ecchymosis",
        "Petechiae",
        "Abrasion",
        "Patterned abrasion",
        "Laceration",
        "Incised wound",
        "Stab wound",
        "Chop wound",
        "Gunshot wound of entrance",
        "Gunshot wound of exit",
        "Graze gunshot wound",
        "Shotgun wound",
        "Fracture",
        "Fractures",
        "Dislocation",
        "Hemorrhage",
        "Subgaleal hemorrhage",
        "Epidural hemorrhage",
        "Subdural hemorrhage",
        "Subarachnoid hemorrhage",
        "Cerebral contusion",
        "Edema",
        "Burn, superficial",
        "Burn, partial thickness",
        "Burn, full thickness",
        "Scald",
        "Electrical burn",
        "Ligature mark",
        "Bite mark",
        "Avulsion",
        "Amputation",
    ),
    FindingClass.POSTMORTEM_CHANGE: (
        "Lividity",
        "Rigor",
        "Drying",
        "Tache noire",
        "Green discoloration",
        "Marbling",
        "Skin slippage",
        "Bloating",
        "Mummification",
        "Adipocere",
        "Washerwoman change",
        "Insect activity",
        "Animal activity",
    ),
    FindingClass.ARTIFACT: (
        "Drying",
        "Pressure mark",
        "Clothing mark",
        "Refrigeration change",
        "Transport abrasion",
        "Ant bites",
        "Heat fracture",
        "Heat rupture",
        "Resuscitation injury",
    ),
    FindingClass.NATURAL_DISEASE: (
        "Varicose veins",
        "Ulcer",
        "Edema",
        "Jaundice",
        "Rash",
        "Tumor",
        "Clubbing",
        "Hernia",
        "Pressure ulcer",
    ),
    FindingClass.MEDICAL_INTERVENTION: (
        "Needle puncture",
        "Intravenous line",
        "Intraosseous line",
        "Endotracheal tube",
        "Electrode pads",
        "Defibrillator pads",
        "Defibrillator burn",
        "Chest tube",
        "Surgical incision",
        "Sutured wound",
        "Dressing",
        "Cervical collar",
        "Urinary catheter",
    ),
    FindingClass.IDENTIFYING_FEATURE: (
        "Tattoo",
        "Scar",
        "Surgical scar",
        "Birthmark",
        "Piercing",
        "Mole",
        "Healed amputation",
        "Dental work",
        "Implant",
        "Jewelry",
    ),
    FindingClass.OTHER: ("Foreign material", "Soot", "Soil", "Trace material", "Stain"),
}

MECHANISMS: tuple[str, ...] = (
    "Blunt force",
    "Sharp force",
    "Firearm",
    "Thermal",
    "Chemical",
    "Electrical",
    "Asphyxial",
    "Explosion",
    "Cold",
    "Radiation",
)

# Terms that take no article.
UNCOUNTED: frozenset[str] = frozenset(
    {
        "adipocere",
        "animal activity",
        "bloating",
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

# Langlois NEI, Gresham GA. The ageing of bruises. Forensic Sci Int 1991;50:227-238: yellow was not
# seen before 18 hours. Nothing else is read from color.
COLOR_CAUTION = (
    "Color does not date a bruise, apart from yellow, which is not seen before about 18 hours "
    "(Langlois and Gresham 1991). Record the color as seen."
)
YELLOW_CAUTION = (
    "Yellow in a bruise is not seen before about 18 hours (Langlois and Gresham 1991); it says no "
    "more than that, and its absence says nothing. Check the light and the skin's own color."
)

_COLOURS: frozenset[str] = frozenset(
    re.findall(
        r"\w+",
        """red purple violet blue green yellow brown black gray grey white pink orange tan maroon
        magenta crimson olive dusky pale cherry ochre""",
    )
)
_SHADES: frozenset[str] = frozenset(
    re.findall(
        r"\w+",
        """light dark deep bright faint dull reddish purplish bluish greenish yellowish brownish
        blackish grayish greyish pinkish orangish and to""",
    )
)


def terms_of(klass: str) -> tuple[str, ...]:
    """The terms offered for a class of finding."""
    return TERMS.get(FindingClass(klass), ()) if klass else ()


def colour_first(seen_as: str) -> tuple[str, str]:
    """Split what was seen into a leading colour and the rest.

    "Purple-red, ill-defined edge" gives ("purple-red", "ill-defined edge"); without a leading
    colour the first part is empty.
    """
    head, _, rest = seen_as.strip().partition(",")
    words = [word for word in re.split(r"[\s-]+", head.strip().lower()) if word]
    known = all(word in _COLOURS or word in _SHADES for word in words)
    if words and known and any(word in _COLOURS for word in words):
        return head.strip().lower(), rest.strip()
    return "", seen_as.strip()


def bruise_caution(klass: str, term: str, *seen: str) -> str:
    """What color allows to be said of a bruise; empty for all else, and where none is named."""
    bruise = re.search(r"\b(contusions?|bruis\w+|ecchymos[ei]s|hematomas?)\b", term, re.I)
    if klass != FindingClass.INJURY or not bruise:
        return ""
    words = " ".join(seen).lower()
    if re.search(r"\byellow(?:ish)?\b", words):
        return YELLOW_CAUTION
    return COLOR_CAUTION if names_a_colour(words) else ""


def names_a_colour(seen_as: str) -> bool:
    """Tell whether the words name a colour, so that the caution is shown beside them."""
    words = set(re.findall(r"[a-z]+", seen_as.lower()))
    return bool(words & (_COLOURS | {word for word in _SHADES if word.endswith("ish")}))
