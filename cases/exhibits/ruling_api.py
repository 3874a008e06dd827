"""API of rulings on exhibits."""

from __future__ import annotations

from rest_framework import serializers

from cases.api.shared import CASE, unnoted
from cases.exhibits import actions, queries
from cases.exhibits.api import EXHIBIT, ExhibitReason
from cases.exhibits.models import ExhibitRuling
from me_office.shell.endpoints import adds, at, changes, lists
from me_office.shell.shapes import shape_of

RULING = f"{CASE}/exhibit-rulings/<uuid:ruling_id>"


RulingInput = shape_of(
    "RulingInput", ExhibitRuling, ("id", *actions.RULING_FIELDS),
    "What was ruled on an exhibit; `id` is made by the client.",
    id=serializers.UUIDField(),
)  # fmt: skip
RulingChange = shape_of(
    "RulingChange", ExhibitRuling, ("version", "reason", *actions.RULING_FIELDS),
    "A corrected ruling, with the version that was read and the reason.",
    version=serializers.IntegerField(min_value=1), reason=serializers.CharField(),
)  # fmt: skip
RulingOutput = shape_of(
    "RulingOutput", ExhibitRuling,
    ("id", "version", "exhibit", *actions.RULING_FIELDS, "voided_at"),
    "What was ruled on an exhibit on one day.",
)  # fmt: skip


routes = [
    at(f"{EXHIBIT}/rulings/", "rulings",
       get=lists("exhibit_rulings_list", unnoted, queries.rulings_on, RulingOutput,
           "Return what was ruled on the exhibit, the latest last."),
       post=adds("exhibit_rulings_record", actions.record_ruling, RulingInput, RulingOutput,
           "Record what was ruled; the same id again gets the same record.")),
    at(f"{RULING}/", "ruling",
       put=changes("exhibit_rulings_change", actions.change_ruling, RulingChange, RulingOutput,
           "Correct what was recorded, with the reason.")),
    at(f"{RULING}/withdraw/", "withdraw-ruling",
       post=changes("exhibit_rulings_withdraw", actions.void_ruling, ExhibitReason, RulingOutput,
           "Withdraw what should not have been recorded, with the reason.")),
]  # fmt: skip
