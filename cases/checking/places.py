"""Which part of the body a picture is of, by where its findings are marked. No database, no clock.

What a region faces and which words name a part of the body: common practice.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable
from types import MappingProxyType
from typing import Final

from findings.body.regions import REGIONS
from findings.questions.sites import SKIN, Sites, surface_sites


def _set(words: str) -> Sites:
    return frozenset(word.strip() for word in words.split(",") if word.strip())


GROUP_WORDS: Final = MappingProxyType(
    {
        "head": "head",
        "face": "face",
        "neck": "neck",
        "chest": "chest",
        "abdomen": "abdomen",
        "pelvis": "groin",
        "genital": "external genitals",
        "back": "back",
        "buttock": "buttocks",
        "thigh": "hip and thigh",
        "upper_arm": "shoulder and upper arm",
        "forearm": "forearm",
        "hand": "hand",
        "leg": "lower leg and knee",
        "foot": "foot",
    }
)
_FRONT: Final = _set(
    "forehead, orbital, nose, upper_lip, lower_lip, chin, neck_anterior, clavicular, sternal"
    ", pectoral, lower_chest, abdomen_upper, abdomen_lower, inguinal, pubic, upper_arm_anterior"
    ", antecubital, forearm_anterior, thigh_anterior, knee, leg_anterior"
)
_BACK: Final = _set(
    "occipital_scalp, neck_posterior, back_upper, back_mid, back_lower, sacral, buttock"
    ", upper_arm_posterior, elbow, forearm_posterior, thigh_posterior, popliteal, leg_posterior"
    ", heel"
)
_SIDE: Final = _set("temporal_scalp, ear, neck_lateral, lateral_chest, flank, hip")
_OTHER: Final = MappingProxyType(
    {
        "palm": "palm of the hand",
        "hand_dorsum": "back of the hand",
        "sole": "sole of the foot",
        "foot_dorsum": "top of the foot",
        "thigh_medial": "inner side of the thigh",
    }
)
# Parts that a person may well name for the skin of these regions beside their own.
_ALSO: Final = MappingProxyType(
    {
        "flank": "back, legs",
        "lateral_chest": "back, abdomen",
        "lower_chest": "abdomen",
        "pectoral": "arms",
        "axilla": "arms",
        "shoulder": "chest, back, neck",
        "clavicular": "neck, arms",
        "wrist": "hands",
        "ankle": "feet",
        "heel": "legs",
        "inguinal": "legs, genitals",
        "pubic": "genitals",
        "genital": "legs, anus, buttocks, abdomen, vulva, penis, scrotum",
        "thigh_anterior": "abdomen",
        "palm": "arms",
        "hand_dorsum": "arms",
        "foot_dorsum": "legs",
        "hip": "buttocks, abdomen, back",
        "buttock": "legs, back, anus",
        "sacral": "buttocks",
        "back_lower": "buttocks, abdomen",
        "back_upper": "arms, neck",
        "jaw": "neck, ears",
        "orbital": "conjunctivae, sclerae, scalp",
        "nose": "nasal septum",
        "upper_lip": "oral mucosa, teeth, frenula",
        "lower_lip": "oral mucosa, teeth, frenula",
        "chin": "neck",
        "submental": "face",
        "neck_posterior": "scalp, back",
        "neck_lateral": "scalp, face, arms, ears",
        "ear": "scalp, face, neck, ear canals",
        "forehead": "scalp",
        "temporal_scalp": "face, ears",
        "frontal_scalp": "face",
        "parietal_scalp": "ears",
        "occipital_scalp": "neck, back of neck, ears",
        "abdomen_upper": "chest",
        "abdomen_lower": "genitals",
        "thigh_medial": "genitals, abdomen",
    }
)
# Words for larger parts, by which a smaller one is named too.
_LARGER: Final = (
    (r"heads?", "scalp, face, ears, eyelids, nose, lips, conjunctivae, sclerae"),
    (r"trunk|torso|body", "chest, abdomen, back, breasts, buttocks, genitals"),
    (r"upper (?:limb|extremit\w+)s?", "arms, hands"),
    (r"lower (?:limb|extremit\w+)s?", "legs, feet, buttocks"),
    (r"limbs?|extremit\w+", "arms, hands, legs, feet"),
    (r"arms?", "hands"),
    (r"legs?", "feet"),
    (r"(?:finger|thumb|toe)?nails?", "hands, feet"),
)
_WHOLE: Final = re.compile(r"\b(?:whole|entire|full|naked|clothed|body)\b", re.IGNORECASE)
_OF_HEAD: Final = re.compile(r"\b(?:back|top|side|front|crown) of (?:the )?head\b", re.IGNORECASE)
# What something lies beside is not where it lies.
_BESIDE: Final = re.compile(
    r"\b(?:above|below|beneath|under|behind|beside|near|next to|toward\w?|adjacent to|close to"
    r"|around|between|away from|level with|at the level of|in line with|medial to|lateral to)"
    r"(?: the| his| her)?(?: left| right)?(?: upper| lower)? \w+"
    r"|\b\w+[- ](?:height|level)\b(?! with)",
    re.IGNORECASE,
)
# Parts of things and of helpers, marks that tell of what made them, and how a picture was taken.
_OF_NO_BODY: Final = re.compile(
    r"\b(?:head|face|neck|shoulder|back|foot|hand) of (?:the |an? )?(?:scale|ruler|card|table|bed"
    r"|stairs?|ladder|bottle|knife|blade|hammer|weapon|camera|abrasion|wound|examiner|assistant"
    r"|photographer|technician|pathologist)s?\b"
    r"|\b(?:examiner|assistant|photographer|technician|pathologist)(?:'s|’s|s['’])? (?:\w+ )?"
    r"(?:hand|finger|thumb|arm)s?\b|\bgloved (?:hand|finger|thumb)s?\b"
    r"|\b(?:hand|finger)s? (?:holds?|holding)\b"
    r"|\b(?:fingernail|nail|fingertip|finger|knuckle|hand|palm|tooth|teeth|heel|foot|sole)[- ]?"
    r"(?:marks?|prints?|patterns?|impressions?|shaped|sized)\b"
    r"|\bback[- ]?(?:view|lit|light\w*)\b"
    r"|\b(?:photographed|seen|taken|viewed|view) from (?:the )?(?:back|head|feet)\b"
    r"|\b(?:head|feet)(?: end)?(?: (?:is|are|lies))? (?:(?:to|at|on|toward) the"
    r" (?:left|right|top|bottom)|up|down)\b",
    re.IGNORECASE,
)
_OF_NO_BACK: Final = re.compile(
    r"\b(?:back|front|side|top) of (?:the |his |her )?(?:left |right )?"
    r"(?=(?:upper |lower )?(?:arm|forearm|hand|finger|leg|thigh|knee|calf|foot|neck|head|ear|wrist"
    r"|elbow|shoulder|ankle|heel|chest|abdomen)s?\b)",
    re.IGNORECASE,
)


def bases_of(keys: Iterable[str]) -> set[str]:
    """Regions without their side."""
    return {REGIONS[key].base for key in keys if key in REGIONS}


def groups_of(keys: Iterable[str]) -> list[str]:
    """The larger parts of the body that the regions belong to, in the order of the body."""
    found = {REGIONS[key].group for key in keys if key in REGIONS}
    return [group for group in GROUP_WORDS if group in found]


def side_of(keys: Iterable[str]) -> str:
    """The body's side of some regions: left, right, both, midline; empty without a region."""
    sides = {REGIONS[key].side for key in keys if key in REGIONS}
    if {"left", "right"} <= sides:
        return "both"
    return next((side for side in ("left", "right", "midline") if side in sides), "")


def faces_of(keys: Iterable[str]) -> str:
    """Which side of the body the regions lie on: front, right side, palm of the hand."""
    said: list[str] = []
    for key in keys:
        if key not in REGIONS:
            continue
        region = REGIONS[key]
        if region.base in _FRONT:
            said.append("front")
        elif region.base in _BACK:
            said.append("back")
        elif region.base in _SIDE:
            said.append(f"{region.side} side")
        elif region.base in _OTHER:
            said.append(_OTHER[region.base])
    return " and ".join(dict.fromkeys(said))


def skin_named(words: str) -> Sites:
    """The parts of the skin that a caption names, larger ones with all that they hold.

    "Back of the left hand" names the hand and no back, "above the knee" no knee.
    """
    plain = _BESIDE.sub("", _OF_NO_BODY.sub("", words))
    plain = _OF_NO_BACK.sub("", _OF_HEAD.sub("scalp", plain))
    found = surface_sites(plain)
    for larger, sites in _LARGER:
        if re.search(rf"\b(?:{larger})\b", plain, re.IGNORECASE):
            found |= _set(sites)
    return found


def names_whole_body(words: str) -> bool:
    """Tell whether a caption speaks of the whole body, of which every part is one."""
    return _WHOLE.search(words) is not None


def skin_of(bases: Collection[str]) -> Sites:
    """The parts of the skin by which regions may rightly be called."""
    own = frozenset().union(*(SKIN.get(base, frozenset()) for base in bases))
    return own.union(*(_set(_ALSO.get(base, "")) for base in bases))
