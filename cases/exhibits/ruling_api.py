"""API of rulings on exhibits."""

from __future__ import annotations

from rest_framework import serializers

from cases.api.shared import CASE, unnoted
from cases.exhibits import actions, queries
from cases.exhibits.api import EXHIBIT, ExhibitReason
from cases.exhibits.models import ExhibitRuling
from me_office.shell.endpoints import adds, at, changes, lists

RULING = f"{CASE}/exhibit-rulings/<uuid:ruling_id>"


class RulingInput(serializers.ModelSerializer[ExhibitRuling]):
    """What was ruled on an exhibit; `id` is made by the client."""

    id = serializers.UUIDField()

    class Meta:
        model = ExhibitRuling
        fields = ["id", *actions.RULING_FIELDS]


class RulingChange(serializers.ModelSerializer[ExhibitRuling]):
    """A corrected ruling, with the version that was read and the reason."""

    version = serializers.IntegerField(min_value=1)
    reason = serializers.CharField()

    class Meta:
        model = ExhibitRuling
        fields = ["version", "reason", *actions.RULING_FIELDS]


class RulingOutput(serializers.ModelSerializer[ExhibitRuling]):
    """What was ruled on an exhibit on one day."""

    class Meta:
        model = ExhibitRuling
        fields = ["id", "version", "exhibit", *actions.RULING_FIELDS, "voided_at"]


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
