"""Endpoints of specimens."""

from __future__ import annotations

from cases.api.shared import CASE, seen
from evidence.items.serializers import EvidenceVoidSerializer
from evidence.specimens import actions, queries
from evidence.specimens import serializers as s
from me_office.shell.endpoints import adds, at, changes, lists

SPECIMEN = f"{CASE}/specimens/<uuid:specimen_id>"

routes = [
    at(f"{CASE}/specimens/", "specimens",
       get=lists("specimen_list", seen("specimens"), queries.specimens_of, s.SpecimenSerializer,
           "List the specimens by item number."),
       post=adds("specimen_take", actions.take_specimen, s.NewSpecimenSerializer,
           s.SpecimenSerializer, "Take a specimen with its seal and its first transfer.")),
    at(f"{CASE}/specimens/received/", "specimens-received",
       post=adds("specimen_receive", actions.receive_specimen, s.ReceivedSpecimenSerializer,
           s.SpecimenSerializer, "Receive a specimen that a hospital or others took.")),
    at(f"{SPECIMEN}/", "specimen",
       patch=changes("specimen_describe", actions.describe_specimen, s.SpecimenChangeSerializer,
           s.SpecimenSerializer,
           "Correct what is said about a specimen; only the fields sent change.")),
    at(f"{SPECIMEN}/void/", "specimen-void",
       post=changes("specimen_void", actions.void_specimen, EvidenceVoidSerializer,
           s.SpecimenSerializer, "Withdraw a specimen; seals and transfers stay on record.")),
]  # fmt: skip
