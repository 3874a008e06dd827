"""Endpoints of photographs and of what they show."""

from __future__ import annotations

from cases.api.shared import CASE, seen
from evidence.items.serializers import EvidenceVoidSerializer
from evidence.photographs import actions, queries
from evidence.photographs import serializers as s
from me_office.shell.endpoints import adds, at, changes, lists, reads

PHOTOGRAPH = f"{CASE}/photographs/<uuid:photograph_id>"

read_log = lists("photograph_list", seen("photographs"), queries.photograph_log,
    s.PhotographSerializer, "List the standing photographs by number.")  # fmt: skip

routes = [
    at(f"{PHOTOGRAPH}/", "photograph",
       get=reads("photograph_read", seen("photographs"), queries.photograph_of,
           s.PhotographSerializer, "Read a photograph's line in the log."),
       patch=changes("photograph_describe", actions.describe_photograph,
           s.PhotographChangeSerializer, s.PhotographSerializer,
           "Change a photograph's line; only the fields sent change.")),
    at(f"{PHOTOGRAPH}/void/", "photograph-void",
       post=changes("photograph_void", actions.void_photograph, EvidenceVoidSerializer,
           s.PhotographSerializer, "Withdraw a photograph; its file stays in the store.")),
    at(f"{PHOTOGRAPH}/findings/", "photograph-links",
       post=adds("photograph_link_finding", actions.link_finding, s.NewPhotographLinkSerializer,
           s.PhotographLinkSerializer, "Say that a photograph shows a finding.")),
    at(f"{CASE}/photograph-links/<uuid:link_id>/void/", "photograph-link-void",
       post=changes("photograph_unlink_finding", actions.unlink_finding, EvidenceVoidSerializer,
           s.PhotographLinkSerializer,
           "Withdraw the statement that a photograph shows a finding.")),
]  # fmt: skip
