"""Organ weights as the API shows and takes them."""

from __future__ import annotations

from findings.api.serializers import shapes_of
from findings.organs.actions import ORGAN_FIELDS
from findings.organs.models import OrganWeight

NewOrganWeightSerializer, OrganWeightChangeSerializer, OrganWeightSerializer = shapes_of(
    "OrganWeight", OrganWeight, ORGAN_FIELDS,
    new="A new organ weight.", change="A changed organ weight.", shown="An organ weight.",
)  # fmt: skip
