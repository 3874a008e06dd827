"""Endpoints of organ weights."""

from __future__ import annotations

from cases.api.shared import CASE, seen
from findings.api.rows import changed_and_voided
from findings.organs import actions, queries
from findings.organs import serializers as s
from me_office.shell.endpoints import adds, at, lists

routes = [
    at(f"{CASE}/organ-weights/", "organ-weights",
       get=lists("organ_weight_list", seen("organ weights"), queries.organ_weights_of,
           s.OrganWeightSerializer, "Read the standing organ weights."),
       post=adds("organ_weight_record", actions.weigh_organ, s.NewOrganWeightSerializer,
           s.OrganWeightSerializer, "Record an organ weight.")),
    *changed_and_voided(f"{CASE}/organ-weights/<uuid:organ_weight_id>/", "organ-weight",
        "organ_weight", "an organ weight", actions.change_organ_weight, actions.void_organ_weight,
        s.OrganWeightChangeSerializer, s.OrganWeightSerializer),
]  # fmt: skip
