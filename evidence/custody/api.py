"""Endpoints of items, seals and transfers."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers

from cases.api.shared import CASE, seen
from evidence.custody import actions, queries
from evidence.custody.models import Seal, Transfer
from evidence.custody.opening_fields import office_staff
from evidence.custody.queries import ItemCustody
from evidence.items.receivers import WHERE
from evidence.items.serializers import EvidenceVoidSerializer
from me_office.shell.api_moment import ApiMomentField
from me_office.shell.endpoints import adds, at, changes, lists, reads
from me_office.shell.shapes import NewShape

TRANSFER_LINE = [
    "from_party", "from_staff", "to_party", "to_staff", "to_where", "at", "place", "purpose",
    "seal_state", "note",
]  # fmt: skip


class SealSerializer(serializers.ModelSerializer[Seal]):
    """A seal as it stands."""

    # Plain text: "kind" is a word of many records, and the schema names an enumeration but once.
    kind = serializers.CharField(read_only=True)

    class Meta:
        model = Seal
        fields = [
            "id", "version", "item", "kind", "number", "number_repeats", "applied_at", "applied_by",
            "broken_at", "broken_by", "broken_why", "voided_at",
        ]  # fmt: skip
        read_only_fields = fields


class TransferSerializer(serializers.ModelSerializer[Transfer]):
    """A transfer as it stands."""

    class Meta:
        model = Transfer
        fields = ["id", "version", "item", "receipt", "voided_at", *TRANSFER_LINE]
        read_only_fields = fields


class CustodySerializer(serializers.Serializer[ItemCustody]):
    """An item with its seals, its transfers and what they come to."""

    id = serializers.UUIDField(source="item.pk")
    version = serializers.IntegerField(source="item.version")
    number = serializers.IntegerField(source="item.number")
    kind = serializers.CharField(source="item.kind")
    title = serializers.CharField(source="item.title")
    voided_at = serializers.DateTimeField(source="item.voided_at", allow_null=True)
    holder = serializers.CharField(source="chain.holder")
    sealed = serializers.BooleanField(source="chain.sealed")
    unbroken = serializers.BooleanField(source="chain.unbroken")
    gaps = serializers.ListField(child=serializers.CharField(), source="chain.gaps")
    seals = SealSerializer(many=True)
    transfers = TransferSerializer(many=True)


class NewTransferSerializer(NewShape):
    """A transfer to record; `version` is the item's."""

    version = serializers.IntegerField(min_value=0)
    reason = serializers.CharField(required=False, allow_blank=True, max_length=500)
    from_party = serializers.CharField(required=False, allow_blank=True, max_length=160)
    from_staff = serializers.PrimaryKeyRelatedField(
        queryset=office_staff(), required=False, allow_null=True
    )
    to_party = serializers.CharField(required=False, allow_blank=True, max_length=160)
    to_staff = serializers.PrimaryKeyRelatedField(
        queryset=office_staff(), required=False, allow_null=True
    )
    to_where = serializers.ChoiceField(choices=WHERE, required=False, allow_blank=True)
    at = ApiMomentField()
    place = serializers.CharField(max_length=160)
    purpose = serializers.CharField(max_length=160)
    seal_state = serializers.ChoiceField(choices=Transfer.SEALS)
    note = serializers.CharField(required=False, allow_blank=True, max_length=240)


class NewSealSerializer(NewShape):
    """A numbered seal to apply; `version` is the item's."""

    version = serializers.IntegerField(min_value=0)
    reason = serializers.CharField(required=False, allow_blank=True, max_length=500)
    number = serializers.CharField(max_length=80)
    number_repeats = serializers.CharField(required=False, allow_blank=True, max_length=240)
    applied_at = ApiMomentField()
    applied_by = serializers.CharField(required=False, allow_blank=True, max_length=120)


class BreakSealSerializer(serializers.Serializer[Any]):
    """Who broke a seal, when and why; `version` is the seal's."""

    version = serializers.IntegerField(min_value=0)
    reason = serializers.CharField(required=False, allow_blank=True, max_length=500)
    broken_at = ApiMomentField()
    broken_by = serializers.CharField(required=False, allow_blank=True, max_length=120)
    broken_why = serializers.CharField(max_length=240)


routes = [
    at(f"{CASE}/items/", "items",
       get=lists("custody_list", seen("custody"), queries.custody_record, CustodySerializer,
           "List every item with its seals and transfers, by item number.")),
    at(f"{CASE}/items/<uuid:item_id>/", "item",
       get=reads("custody_read", seen("custody"), queries.item_custody, CustodySerializer,
           "Read an item with its seals and transfers.")),
    at(f"{CASE}/items/<uuid:item_id>/transfers/", "transfers",
       post=adds("transfer_record", actions.record_transfer, NewTransferSerializer,
           TransferSerializer, "Record that an item passed on.")),
    at(f"{CASE}/items/<uuid:item_id>/seals/", "seals",
       post=adds("seal_apply", actions.apply_seal, NewSealSerializer, SealSerializer,
           "Close an item under a numbered seal.")),
    at(f"{CASE}/transfers/<uuid:transfer_id>/void/", "transfer-void",
       post=changes("transfer_void", actions.void_transfer, EvidenceVoidSerializer,
           TransferSerializer, "Withdraw a transfer that did not happen as recorded.")),
    at(f"{CASE}/seals/<uuid:seal_id>/break/", "seal-break",
       post=changes("seal_break", actions.break_seal, BreakSealSerializer, SealSerializer,
           "Record who broke a seal, when and why.")),
    at(f"{CASE}/seals/<uuid:seal_id>/void/", "seal-void",
       post=changes("seal_void", actions.void_seal, EvidenceVoidSerializer, SealSerializer,
           "Withdraw a seal that was entered wrongly.")),
]  # fmt: skip
