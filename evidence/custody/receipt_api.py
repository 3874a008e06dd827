"""Endpoints of receipts: items handed to an agency."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from rest_framework import serializers

from cases.api.shared import CASE, seen
from evidence.custody import handing, receipts
from evidence.custody.models import AgencyReceipt
from evidence.items.serializers import EvidenceVoidSerializer
from me_office.accounts.models import Staff
from me_office.shell.api_moment import ApiMomentField
from me_office.shell.endpoints import adds, at, changes, lists
from me_office.shell.shapes import NewShape

RECEIPT_LINE = [
    "agency", "received_by", "identification", "agency_case_number", "second_person", "at",
    "place", "purpose",
]  # fmt: skip


class ReceiptSerializer(serializers.ModelSerializer[AgencyReceipt]):
    """A receipt as it stands; its items are the transfers that name it."""

    class Meta:
        model = AgencyReceipt
        fields = ["id", "version", "number", "given_by", "voided_at", *RECEIPT_LINE]
        read_only_fields = fields


class ReceiptItemSerializer(NewShape):
    """An item to hand over, with the version that was read."""

    version = serializers.IntegerField(min_value=0)


class NewReceiptSerializer(serializers.ModelSerializer[AgencyReceipt]):
    """Items to hand to an agency against one receipt."""

    id = serializers.UUIDField()
    at = ApiMomentField()
    items = ReceiptItemSerializer(many=True)
    reason = serializers.CharField(required=False, allow_blank=True, max_length=500)

    class Meta:
        model = AgencyReceipt
        fields = ["id", "items", "reason", *RECEIPT_LINE]


def _hand_over(
    actor: Staff, *, case_id: UUID, record_id: UUID, items: list[dict[str, Any]],
    entry: dict[str, Any], reason: str = "",
) -> AgencyReceipt:  # fmt: skip
    """Hand the items over, each with the version that was read."""
    read = [(each["id"], each["version"]) for each in items]
    return handing.hand_to_agency(
        actor, case_id=case_id, record_id=record_id, items=read, entry=entry, reason=reason
    )


routes = [
    at(f"{CASE}/receipts/", "receipts",
       get=lists("receipt_list", seen("custody"), receipts.receipts_of, ReceiptSerializer,
           "List the receipts by number."),
       post=adds("receipt_hand_over", _hand_over, NewReceiptSerializer, ReceiptSerializer,
           "Hand items to an agency: a transfer for each, or none at all.")),
    at(f"{CASE}/receipts/<uuid:receipt_id>/void/", "receipt-void",
       post=changes("receipt_void", handing.void_receipt, EvidenceVoidSerializer,
           ReceiptSerializer,
           "Withdraw a receipt for what was not handed over, with its transfers.")),
]  # fmt: skip
