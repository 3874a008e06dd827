"""Endpoints of lividity and rigor by region."""

from __future__ import annotations

from cases.api.shared import CASE, seen
from findings.api.rows import changed_and_voided
from findings.postmortem import actions, queries
from findings.postmortem import serializers as s
from me_office.shell.endpoints import adds, at, lists

routes = [
    at(f"{CASE}/lividity/", "lividity",
       get=lists("lividity_list", seen("lividity"), queries.lividity_of, s.LividitySerializer,
           "Read the standing rows."),
       post=adds("lividity_record", actions.record_lividity, s.NewLividitySerializer,
           s.LividitySerializer, "Record one region.")),
    *changed_and_voided(f"{CASE}/lividity/<uuid:row_id>/", "livid-row", "lividity", "a row",
        actions.change_lividity, actions.void_lividity, s.LividityChangeSerializer,
        s.LividitySerializer, keys={"row_id": "lividity_id"}),
    at(f"{CASE}/rigor/", "rigor",
       get=lists("rigor_list", seen("rigor"), queries.rigor_of, s.RigorSerializer,
           "Read the standing rows."),
       post=adds("rigor_record", actions.record_rigor, s.NewRigorSerializer, s.RigorSerializer,
           "Record one joint.")),
    *changed_and_voided(f"{CASE}/rigor/<uuid:row_id>/", "rigor-row", "rigor", "a row",
        actions.change_rigor, actions.void_rigor, s.RigorChangeSerializer, s.RigorSerializer,
        keys={"row_id": "rigor_id"}),
]  # fmt: skip
