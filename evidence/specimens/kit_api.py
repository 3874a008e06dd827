"""Endpoints of kits and trays."""

from __future__ import annotations

from cases.api.shared import CASE, seen
from evidence.items.serializers import EvidenceVoidSerializer
from evidence.specimens import actions, queries
from evidence.specimens import serializers as s
from me_office.shell.endpoints import adds, at, changes, lists

routes = [
    at(f"{CASE}/kits/", "kits",
       get=lists("kit_list", seen("specimens"), queries.kits_of, s.KitSerializer,
           "List the kits and trays by item number."),
       post=adds("kit_record", actions.record_kit, s.NewKitSerializer, s.KitSerializer,
           "Record a kit or tray with its parts under one seal.")),
    at(f"{CASE}/kits/<uuid:kit_id>/void/", "kit-void",
       post=changes("kit_void", actions.void_kit, EvidenceVoidSerializer, s.KitSerializer,
           "Withdraw a kit with its parts; seals and transfers stay on record.")),
    at(f"{CASE}/specimens/<uuid:specimen_id>/kit/", "part-move",
       post=changes("kit_part_move", actions.move_part, s.PartMoveSerializer, s.SpecimenSerializer,
           "Put a part into the kit that it is in; how it was recorded stays on record.")),
    at(f"{CASE}/specimens/<uuid:specimen_id>/out/", "part-out",
       post=changes("kit_part_take_out", actions.take_part_out, s.PartOutSerializer,
           s.SpecimenSerializer,
           "Keep a part by itself, with its own seal and first transfer.")),
]  # fmt: skip
