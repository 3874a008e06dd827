"""Regions of the body surface: key, term in the trade's words, side and share of the surface.

Regions follow common surface anatomy; the pathologist's own word overrides them.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final, Literal

from findings.body.catalogue import UnknownRegion, catalogue

Side = Literal["left", "right", "midline"]

# Words people type for a region whose term says it otherwise (common practice).
_OTHER_WORDS: Final = {
    "temporal_scalp": "temple",
    "occipital_scalp": "back of head",
    "frontal_scalp": "front of head",
    "parietal_scalp": "side of head top of head crown",
    "orbital": "eye eyelid eyebrow",
    "cheek": "malar zygomatic",
    "jaw": "jaw",
    "ear": "auricle pinna",
    "submental": "under chin",
    "neck_anterior": "front of neck throat",
    "neck_lateral": "side of neck",
    "neck_posterior": "nape back of neck",
    "clavicular": "collarbone clavicle",
    "sternal": "breastbone sternum",
    "pectoral": "breast chest",
    "lower_chest": "ribs",
    "lateral_chest": "side of chest ribs",
    "axilla": "armpit",
    "abdomen_upper": "belly",
    "abdomen_lower": "belly",
    "inguinal": "groin",
    "genital": "perineum genitalia",
    "back_upper": "shoulder blade scapula",
    "back_lower": "loin lumbar",
    "sacral": "sacrum",
    "buttock": "gluteal",
    "hip": "trochanter",
    "shoulder": "deltoid",
    "upper_arm_anterior": "front of upper arm",
    "upper_arm_posterior": "back of upper arm",
    "antecubital": "elbow crease bend of elbow",
    "elbow": "olecranon",
    "forearm_anterior": "front of forearm",
    "forearm_posterior": "back of forearm",
    "palm": "hand",
    "hand_dorsum": "back of hand",
    "thumb": "hand finger",
    "index": "hand",
    "middle": "hand",
    "ring": "hand",
    "little": "hand",
    "thigh_anterior": "front of thigh",
    "thigh_medial": "inner thigh",
    "thigh_posterior": "back of thigh",
    "knee": "patella kneecap",
    "popliteal": "back of knee",
    "leg_anterior": "shin lower leg",
    "leg_posterior": "calf lower leg",
    "foot_dorsum": "top of foot",
    "great_toe": "big toe hallux",
    "lesser_toes": "toes toe",
}


@dataclass(frozen=True, slots=True)
class Region:
    """One named part of the body surface.

    `side` is the body's own; `group` is the coarser part it belongs to ("chest", "hand");
    `area_percent` gives its share of the whole surface for each body, in percent.
    """

    id: int
    key: str
    term: str
    side: Side
    group: str
    area_percent: MappingProxyType[str, float]

    @property
    def base(self) -> str:
        """The key without its side: `ear` for `ear_l`."""
        return self.key[:-2] if self.side != "midline" else self.key


def _load() -> MappingProxyType[str, Region]:
    regions = (
        Region(
            id=row["id"],
            key=row["key"],
            term=row["term"],
            side=row["side"],
            group=row["group"],
            area_percent=MappingProxyType(row["area_percent"]),
        )
        for row in catalogue()["regions"]
    )
    return MappingProxyType({region.key: region for region in regions})


REGIONS: Final = _load()
"""Every region by its key, in the order of their numbers."""

REGION_KEY_BY_ID: Final = MappingProxyType({region.id: region.key for region in REGIONS.values()})


def region(key: str) -> Region:
    """The region of that key; raises UnknownRegion."""
    try:
        return REGIONS[key]
    except KeyError:
        raise UnknownRegion(key) from None


def region_term(key: str) -> str:
    """The trade's words for a region: `lateral_chest_r` is "Right lateral chest wall"."""
    return region(key).term


def mirrored_region(key: str) -> str:
    """The key of the region on the other side of the body; a midline region is its own mirror."""
    found = region(key)
    if found.side == "midline":
        return key
    return found.base + ("_r" if found.side == "left" else "_l")


def search_regions(words: str, *, limit: int = 12) -> list[Region]:
    """Regions that fit every typed word, best first.

    Each word must begin a word of the term, of the group, or of what else people call it.
    Words of the term itself count more. "l" and "r" stand for left and right.
    """
    wanted = [{"l": "left", "r": "right"}.get(word, word) for word in _words(words)]
    if not wanted:
        return []
    scored = []
    for candidate in REGIONS.values():
        own = _words(candidate.term)
        other = _words(f"{_OTHER_WORDS.get(candidate.base, '')} {candidate.group}")
        score = 0
        for word in wanted:
            if word in own:
                score += 3
            elif any(text.startswith(word) for text in own):
                score += 2
            elif any(text.startswith(word) for text in other):
                score += 1
            else:
                break
        else:
            scored.append((-score, len(own), candidate.id, candidate))
    return [row[3] for row in sorted(scored, key=lambda row: row[:3])[:limit]]


def _words(text: str) -> list[str]:
    return re.findall(r"[^\W_]+", text.casefold())
