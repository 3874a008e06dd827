"""Organ weights; an organ may be weighed after the dissection, when it is fixed."""

from __future__ import annotations

from findings.actions.parts import Part
from findings.organs.models import OrganWeight

ORGAN_FIELDS = ("organ", "weight_g", "after_fixation", "seen_as")
WEIGHT = Part(
    OrganWeight, "organ_weight_id", ORGAN_FIELDS, named="organ weight", is_made_later=True
)
weigh_organ = WEIGHT.adds("weigh_organ")
change_organ_weight = WEIGHT.changes("change_organ_weight")
void_organ_weight = WEIGHT.voids("void_organ_weight")
