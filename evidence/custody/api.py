"""Endpoints of items, seals and transfers."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from drf_spectacular.utils import extend_schema
from rest_framework import serializers, status
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from cases.api.shared import case_seen
from evidence.custody import actions, queries
from evidence.custody.hand_over import office_staff
from evidence.custody.models import Seal, Transfer
from evidence.custody.queries import ItemCustody
from evidence.items.receivers import WHERE
from evidence.items.serializers import EvidenceVoidSerializer
from me_office.shell.api import REFUSALS, checked
from me_office.shell.api_moment import ApiMomentField

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


class NewTransferSerializer(serializers.Serializer[Any]):
    """A transfer to record; `version` is the item's."""

    id = serializers.UUIDField()
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


class NewSealSerializer(serializers.Serializer[Any]):
    """A numbered seal to apply; `version` is the item's."""

    id = serializers.UUIDField()
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


class ItemsView(APIView):
    """Custody of a case."""

    @extend_schema(
        operation_id="custody_list", responses={200: CustodySerializer(many=True), **REFUSALS}
    )
    def get(self, request: Request, case_id: UUID) -> Response:
        """List every item with its seals and transfers, by item number."""
        case = case_seen(request, case_id, "custody")
        return Response(CustodySerializer(queries.custody_record(case), many=True).data)


class ItemView(APIView):
    """Custody of one item."""

    @extend_schema(operation_id="custody_read", responses={200: CustodySerializer, **REFUSALS})
    def get(self, request: Request, case_id: UUID, item_id: UUID) -> Response:
        """Read an item with its seals and transfers."""
        case = case_seen(request, case_id, "custody")
        return Response(CustodySerializer(queries.item_custody(case, item_id)).data)


class TransfersView(APIView):
    """Transfers of an item."""

    @extend_schema(
        operation_id="transfer_record",
        request=NewTransferSerializer,
        responses={201: TransferSerializer, **REFUSALS},
    )
    def post(self, request: Request, case_id: UUID, item_id: UUID) -> Response:
        """Record that an item passed on."""
        body = checked(NewTransferSerializer, request)
        transfer = actions.record_transfer(
            request.user,  # type: ignore[arg-type]
            case_id=case_id,
            item_id=item_id,
            record_id=body.pop("id"),
            version=body.pop("version"),
            reason=body.pop("reason", ""),
            entry=body,
        )
        return Response(TransferSerializer(transfer).data, status=status.HTTP_201_CREATED)


class TransferVoidView(APIView):
    """Withdrawing a transfer."""

    @extend_schema(
        operation_id="transfer_void",
        request=EvidenceVoidSerializer,
        responses={200: TransferSerializer, **REFUSALS},
    )
    def post(self, request: Request, case_id: UUID, transfer_id: UUID) -> Response:
        """Withdraw a transfer that did not happen as recorded."""
        body = checked(EvidenceVoidSerializer, request)
        transfer = actions.void_transfer(
            request.user,  # type: ignore[arg-type]
            case_id=case_id,
            transfer_id=transfer_id,
            **body,
        )
        return Response(TransferSerializer(transfer).data)


class SealsView(APIView):
    """Seals of an item."""

    @extend_schema(
        operation_id="seal_apply",
        request=NewSealSerializer,
        responses={201: SealSerializer, **REFUSALS},
    )
    def post(self, request: Request, case_id: UUID, item_id: UUID) -> Response:
        """Close an item under a numbered seal."""
        body = checked(NewSealSerializer, request)
        seal = actions.apply_seal(
            request.user,  # type: ignore[arg-type]
            case_id=case_id,
            item_id=item_id,
            record_id=body.pop("id"),
            version=body.pop("version"),
            reason=body.pop("reason", ""),
            entry=body,
        )
        return Response(SealSerializer(seal).data, status=status.HTTP_201_CREATED)


class SealBreakView(APIView):
    """Breaking a seal."""

    @extend_schema(
        operation_id="seal_break",
        request=BreakSealSerializer,
        responses={200: SealSerializer, **REFUSALS},
    )
    def post(self, request: Request, case_id: UUID, seal_id: UUID) -> Response:
        """Record who broke a seal, when and why."""
        body = checked(BreakSealSerializer, request)
        seal = actions.break_seal(
            request.user,  # type: ignore[arg-type]
            case_id=case_id,
            seal_id=seal_id,
            version=body.pop("version"),
            reason=body.pop("reason", ""),
            entry=body,
        )
        return Response(SealSerializer(seal).data)


class SealVoidView(APIView):
    """Withdrawing a seal."""

    @extend_schema(
        operation_id="seal_void",
        request=EvidenceVoidSerializer,
        responses={200: SealSerializer, **REFUSALS},
    )
    def post(self, request: Request, case_id: UUID, seal_id: UUID) -> Response:
        """Withdraw a seal that was entered wrongly."""
        body = checked(EvidenceVoidSerializer, request)
        seal = actions.void_seal(
            request.user,  # type: ignore[arg-type]
            case_id=case_id,
            seal_id=seal_id,
            **body,
        )
        return Response(SealSerializer(seal).data)
