"""Endpoints of things."""

from __future__ import annotations

from cases.api.shared import CASE, seen
from evidence.items.serializers import EvidenceVoidSerializer
from evidence.property import actions, queries
from evidence.property import serializers as s
from me_office.shell.endpoints import adds, at, changes, lists

PROPERTY = f"{CASE}/property/<uuid:property_id>"

routes = [
    at(f"{CASE}/property/", "property",
       get=lists("property_list", seen("property"), queries.properties_of, s.PropertySerializer,
           "List the property by item number."),
       post=adds("property_record", actions.record_property, s.NewPropertySerializer,
           s.PropertySerializer, "Record a thing with its seal and its first transfer.")),
    at(f"{PROPERTY}/", "property-item",
       patch=changes("property_describe", actions.describe_property, s.PropertyChangeSerializer,
           s.PropertySerializer,
           "Correct what is said about a thing; only the fields sent change.")),
    at(f"{PROPERTY}/void/", "property-void",
       post=changes("property_void", actions.void_property, EvidenceVoidSerializer,
           s.PropertySerializer, "Withdraw a thing; seals and transfers stay on record.")),
]  # fmt: skip
