"""Terms of the trade per class of finding, mechanisms and colour words. Offered, never forced.

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

COLOUR_CAUTION = (
    "Colour does not date a bruise: no age is to be read from it. Record the colour as seen."
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


def names_a_colour(seen_as: str) -> bool:
    """Tell whether the words name a colour, so that the caution is shown beside them."""
    words = set(re.findall(r"[a-z]+", seen_as.lower()))
    return bool(words & (_COLOURS | {word for word in _SHADES if word.endswith("ish")}))
