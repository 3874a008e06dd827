"""Lividity and rigor as the API shows and takes them."""

from __future__ import annotations

from findings.api.serializers import shapes_of
from findings.postmortem.actions import LIVIDITY_FIELDS, RIGOR_FIELDS
from findings.postmortem.models import Lividity, Rigor

NewLividitySerializer, LividityChangeSerializer, LividitySerializer = shapes_of(
    "Lividity", Lividity, LIVIDITY_FIELDS,
    new="The lividity of one more region.", change="The changed lividity of one region.",
    shown="The lividity of one region.",
)  # fmt: skip
NewRigorSerializer, RigorChangeSerializer, RigorSerializer = shapes_of(
    "Rigor", Rigor, RIGOR_FIELDS,
    new="The rigor of one more joint.", change="The changed rigor of one joint.",
    shown="The rigor of one joint.",
)  # fmt: skip
