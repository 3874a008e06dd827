"""The trade's words for specimens, offered while one is typed. Any other words may be typed.

Common practice. What a container's color stands for differs between makers: the preservative is a
field of its own.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Final

from me_office.statements import COMMON_PRACTICE, Statement, statement_list

SPECIMEN_WORDS: Final[Mapping[str, tuple[str, ...]]] = {
    "material": (
        "Blood", "Vitreous humor", "Urine", "Bile", "Gastric contents", "Cerebrospinal fluid",
        "Liver", "Brain", "Skeletal muscle", "Spleen", "Kidney", "Lung", "Adipose tissue", "Hair",
        "Fingernails", "Toenails", "Bone", "Tooth", "Swab", "Tissue", "Whole brain", "Whole heart",
        "Insects", "Soil", "Water",
    ),
    "site": (
        "Right femoral vein", "Left femoral vein", "Right iliac vein", "Left iliac vein",
        "Right subclavian vein", "Left subclavian vein", "Heart", "Right chest cavity",
        "Left chest cavity", "Abdominal cavity", "Subdural space", "Right eye", "Left eye",
        "Bladder", "Gallbladder", "Stomach", "Liver, right lobe", "Liver, left lobe",
        "Right psoas muscle", "Left psoas muscle", "Right hand", "Left hand", "Mouth", "Anus",
        "Scalp",
    ),
    "container": (
        "Gray-top tube", "Red-top tube", "Lavender-top tube", "Light-blue-top tube",
        "Blood culture bottle", "Sterile cup", "Screw-cap jar", "Cassette", "Blood card",
        "Swab box", "Swab tube", "Paper envelope", "Paper bag", "Airtight metal can",
        "Sharps container",
    ),
    "preservative": (
        "None", "Sodium fluoride and potassium oxalate", "EDTA", "Sodium citrate",
        "10 % neutral buffered formalin", "Ethanol", "Nucleic acid preservative", "Refrigerated",
        "Frozen, -20 °C", "Frozen, -80 °C",
    ),
    "purpose": (
        "Toxicology", "Histology", "Clinical chemistry", "Microbiology", "Virology", "DNA",
        "Genetic testing", "Neuropathology", "Cardiac pathology", "Odontology", "Anthropology",
        "Kept, no examination",
    ),
}  # fmt: skip


@statement_list
def _suggested() -> Iterator[Statement]:
    for name, words in SPECIMEN_WORDS.items():
        text = f"Specimen, {name}: {'; '.join(words)}"
        yield Statement(f"suggested.{name}", text, "Words that are suggested", COMMON_PRACTICE)
