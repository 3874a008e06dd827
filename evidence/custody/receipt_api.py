"""Endpoints of receipts: items handed to an agency."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from drf_spectacular.utils import extend_schema
from rest_framework import serializers, status
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from cases.api.shared import case_seen
from evidence.custody import handing, receipts
from evidence.custody.models import AgencyReceipt
from evidence.items.serializers import EvidenceVoidSerializer
from me_office.shell.api import REFUSALS, checked
from me_office.shell.api_moment import ApiMomentField

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


class ReceiptItemSerializer(serializers.Serializer[Any]):
    """An item to hand over, with the version that was read."""

    id = serializers.UUIDField()
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


class ReceiptsView(APIView):
    """Receipts of a case."""

    @extend_schema(
        operation_id="receipt_list", responses={200: ReceiptSerializer(many=True), **REFUSALS}
    )
    def get(self, request: Request, case_id: UUID) -> Response:
        """List the receipts by number."""
        case = case_seen(request, case_id, "custody")
        return Response(ReceiptSerializer(receipts.receipts_of(case), many=True).data)

    @extend_schema(
        operation_id="receipt_hand_over",
        request=NewReceiptSerializer,
        responses={201: ReceiptSerializer, **REFUSALS},
    )
    def post(self, request: Request, case_id: UUID) -> Response:
        """Hand items to an agency: a transfer for each, or none at all."""
        body = checked(NewReceiptSerializer, request)
        receipt = handing.hand_to_agency(
            request.user,  # type: ignore[arg-type]
            case_id=case_id,
            record_id=body.pop("id"),
            items=[(each["id"], each["version"]) for each in body.pop("items")],
            reason=body.pop("reason", ""),
            entry=body,
        )
        return Response(ReceiptSerializer(receipt).data, status=status.HTTP_201_CREATED)


class ReceiptVoidView(APIView):
    """Withdrawing a receipt."""

    @extend_schema(
        operation_id="receipt_void",
        request=EvidenceVoidSerializer,
        responses={200: ReceiptSerializer, **REFUSALS},
    )
    def post(self, request: Request, case_id: UUID, receipt_id: UUID) -> Response:
        """Withdraw a receipt for what was not handed over, with its transfers."""
        body = checked(EvidenceVoidSerializer, request)
        receipt = handing.void_receipt(
            request.user,  # type: ignore[arg-type]
            case_id=case_id,
            receipt_id=receipt_id,
            **body,
        )
        return Response(ReceiptSerializer(receipt).data)
