"""Negative statements that the pathologist may confirm, one by one. Nothing is filled in silently.

Wording: common practice. No database, no clock.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from types import MappingProxyType


@dataclass(frozen=True)
class Statement:
    """One negative statement: its key, the section of the examination it belongs to, its words."""

    key: str
    section: str
    words: str


def _statements(section: str, **words: str) -> list[Statement]:
    return [
        Statement(f"{section}-{key}".replace("_", "-"), section, text)
        for key, text in words.items()
    ]


STATEMENTS = MappingProxyType(
    {
        one.key: one
        for one in [
            *_statements(
                "external",
                scalp="The scalp shows no injury.",
                eyes="The conjunctivae show no petechiae.",
                nose="The nose and its septum are intact.",
                mouth="The lips, frenula, teeth and oral mucosa show no injury.",
                ears="The ears show no injury and the canals are free of blood.",
                neck="The skin of the neck shows no injury.",
                chest="The chest is symmetrical and shows no injury.",
                abdomen="The abdomen is flat and shows no injury.",
                genitals="The external genitals and the anus show no injury.",
                hands="The hands show no injury; the nails are intact.",
                limbs="The limbs show no deformity.",
                back="The back shows no injury.",
            ),
            *_statements("treatment", none="There are no signs of medical treatment."),
            *_statements(
                "cavities",
                pleura="The pleural cavities contain no abnormal fluid.",
                pericardium="The pericardial sac contains no abnormal fluid.",
                peritoneum="The peritoneal cavity contains no abnormal fluid.",
                adhesions="There are no adhesions.",
                organs="All organs are present in their usual positions.",
            ),
            *_statements(
                "internal",
                skull="The skull is intact.",
                meninges="There is no epidural, subdural or subarachnoid hemorrhage.",
                brain="The brain shows no injury.",
                neck="The hyoid bone and the laryngeal cartilages are intact.",
                neck_muscles="The strap muscles show no hemorrhage.",
                airway="The airway is free of obstruction.",
                heart="The heart and the great vessels show no injury.",
                coronaries="The coronary arteries show no occlusion.",
                lungs="The lungs show no consolidation.",
                liver="The liver shows no injury.",
                spleen="The spleen shows no injury.",
                kidneys="The kidneys show no injury.",
                bowel="The bowel shows no perforation.",
                skeleton="The ribs, sternum, spine and pelvis show no fracture.",
            ),
            *_statements(
                "deep_dissection",
                neck="Layered dissection of the neck shows no hemorrhage.",
                back="Reflection of the skin of the back shows no hemorrhage.",
                limbs="Reflection of the skin of the limbs shows no hemorrhage.",
            ),
        ]
    }
)


def statements_of(section: str) -> list[Statement]:
    """The statements that one section of the examination offers."""
    return [one for one in STATEMENTS.values() if one.section == section]


def is_stated(statement: Statement, written: str) -> bool:
    """Tell whether a section says the statement already."""
    return statement.words.lower() in written.lower()


# Words in a place, or a term, that speak against a statement: common practice, not complete.
_AGAINST = MappingProxyType(
    {
        "external-scalp": ("scalp",),
        "external-eyes": ("petechiae", "eye", "conjunctiva"),
        "external-nose": ("nose", "nasal"),
        "external-mouth": ("lip", "mouth", "oral", "teeth"),
        "external-ears": ("ear",),
        "external-neck": ("neck",),
        "external-chest": ("chest", "breast", "rib", "ribs", "pectoral"),
        "external-abdomen": ("abdomen", "abdominal"),
        "external-hands": ("hand", "hands", "finger", "fingers", "palm", "thumb"),
        "external-back": ("back", "scapular", "lumbar", "shoulder blade"),
        "internal-skull": ("skull",),
        "internal-brain": ("brain", "cerebral"),
        "internal-meninges": ("epidural", "subdural", "subarachnoid"),
        "internal-liver": ("liver",),
        "internal-spleen": ("spleen",),
        "internal-kidneys": ("kidney", "kidneys"),
        "internal-skeleton": ("rib", "ribs", "sternum", "spine", "pelvis", "fracture", "fractures"),
    }
)


def findings_against(statement: Statement, injuries: list[tuple[int, str]]) -> list[int]:
    """The numbers of the injuries (number, place and term) that may contradict a statement."""
    words = "|".join(_AGAINST.get(statement.key, ()))
    if not words:
        return []
    pattern = re.compile(rf"\b(?:{words})\b", re.IGNORECASE)
    return [number for number, said in injuries if pattern.search(said)]


def added(statement: Statement, written: str) -> str:
    """The section with the statement at its end."""
    return f"{written.rstrip()} {statement.words}".strip()
