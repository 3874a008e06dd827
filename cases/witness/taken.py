"""Whether a specimen was taken where a finding is, by the words of its site. No database, no clock.

A site that names the finding itself is told apart from one that names the same part of the body.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final

from cases.checking.disagreements import side_said
from cases.checking.places import bases_of, groups_of, side_of
from findings.questions.sites import deep_sites, region_sites
from findings.words.sentences import begin_small

_PARTS: Final = {
    "head": r"scalp|head|temple|occiput|vertex",
    "face": r"face|facial|forehead|cheeks?|nose|nasal|lips?|chin|jaw|eyelids?",
    "neck": r"neck|throat",
    "chest": r"chest|breasts?|pectoral|thoracic wall|axilla\w*|sternum",
    "abdomen": r"abdomen|abdominal wall|flanks?",
    "pelvis": r"groins?|inguinal|pubic",
    "genital": r"genital\w*|vagina\w*|vulva\w*|penis|penile|scrot\w+|perine\w+",
    "back": r"(?:upper|mid|lower|left|right)? ?back(?! of)|scapular|lumbar|sacral",
    "buttock": r"buttocks?|gluteal",
    "thigh": r"thighs?|hips?",
    "upper_arm": r"upper arms?|shoulders?|elbows?",
    "forearm": r"forearms?|wrists?",
    "hand": r"hands?|fingers?|thumbs?|palms?|(?:finger)?nails?|nail clippings",
    "leg": r"lower legs?|shins?|calf|calves|knees?|ankles?",
    "foot": r"foot|feet|toes?|heels?|soles?",
}
_PAIRED: Final = frozenset({"thigh", "upper_arm", "forearm", "hand", "leg", "foot"})
# Bones that are named for many places say nothing of one.
_TOO_WIDE: Final = frozenset({"limb bones", "spine", "skull"})
_BOTH: Final = re.compile(r"\bboth\b", re.IGNORECASE)


@dataclass(frozen=True)
class Tie:
    """How the record ties a specimen to findings; `of_finding` where it names them."""

    numbers: tuple[int, ...]
    of_finding: bool
    why: str


def names_finding(words: str, number: int) -> bool:
    """Tell whether words name a finding by its number: "at finding 3", "findings 2 and 3"."""
    listed = r"\bfindings? (?:no\.? ?)?(?:\d+(?:, and |, | and ))*"
    return re.search(rf"{listed}{number}\b(?!\.\d)", words, re.IGNORECASE) is not None


def tie_of(site: str, material: str, findings: Iterable[tuple[int, list[str]]]) -> Tie | None:
    """What ties a specimen to findings, each given by number and regions; None for nothing."""
    words = f"{material}, {site}"
    findings = list(findings)
    named = tuple(number for number, _ in findings if names_finding(words, number))
    if named:
        listed = " and ".join(str(number) for number in named)
        return Tie(named, True, f"its record names finding {listed}")
    same = tuple(number for number, regions in findings if _same_part(words, regions))
    if same:
        return Tie(same, False, f"its site, {begin_small(site)}, is the same part of the body")
    return None


def _same_part(words: str, regions: list[str]) -> bool:
    """Tell whether a site names the part on which a finding is marked, on the same side."""
    side, said = side_of(regions), side_said(words)
    if said and side in ("left", "right") and said != side:
        return False
    for group in groups_of(regions):
        if re.search(rf"\b(?:{_PARTS[group]})\b", words, re.IGNORECASE):
            return group not in _PAIRED or bool(said) or bool(_BOTH.search(words))
    beneath = region_sites(bases_of(regions), broken=True) - _TOO_WIDE
    return bool(beneath & deep_sites(words)) and (not side or said == side or side == "midline")
