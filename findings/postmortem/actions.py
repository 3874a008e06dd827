"""Lividity and rigor by region."""

from __future__ import annotations

from findings.actions.parts import Part
from findings.postmortem.models import Lividity, Rigor

LIVIDITY_FIELDS = ("region", "state", "colour", "blanching", "note")
LIVIDITY = Part(Lividity, "lividity_id", LIVIDITY_FIELDS, named="lividity row", voided_as="row")
record_lividity = LIVIDITY.adds("record_lividity")
change_lividity = LIVIDITY.changes("change_lividity")
void_lividity = LIVIDITY.voids("void_lividity")

RIGOR_FIELDS = ("joint", "stage", "note")
RIGOR = Part(Rigor, "rigor_id", RIGOR_FIELDS, named="rigor row", voided_as="row")
record_rigor = RIGOR.adds("record_rigor")
change_rigor = RIGOR.changes("change_rigor")
void_rigor = RIGOR.voids("void_rigor")
