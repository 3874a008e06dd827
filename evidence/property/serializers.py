"""Things as the API shows and takes them."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers

from evidence.custody.serializers import HandOverSerializer
from evidence.items.serializers import correction_of, printed_with_item
from evidence.property.models import PropertyItem

PROPERTY_LINE = [
    "category", "kept_as", "description", "found", "found_at", "finding", "witnessed_by",
    "cash_count", "cash_currency",
]  # fmt: skip


class CashCountSerializer(serializers.Serializer[Any]):
    """So many pieces of one denomination."""

    pieces = serializers.IntegerField(min_value=1, max_value=999_999)
    value = serializers.RegexField(r"^[0-9]{1,7}(\.[0-9]{1,3})?$")


PropertySerializer = printed_with_item(
    "PropertySerializer", PropertyItem, PROPERTY_LINE, "A thing with its item.",
    cash_count=CashCountSerializer(many=True, read_only=True),
)  # fmt: skip


class NewPropertySerializer(HandOverSerializer, serializers.ModelSerializer[PropertyItem]):
    """A new thing with its seal and first transfer."""

    cash_count = CashCountSerializer(many=True, required=False)

    class Meta:
        model = PropertyItem
        fields = [
            "id", *PROPERTY_LINE, "collected_at", "collected_by", "seal_number",
            "seal_number_repeats", "to_party",
            "to_staff", "handed_over_at", "transfer_place", "transfer_purpose", "reason",
        ]  # fmt: skip
        extra_kwargs = {
            "category": {"required": True},
            "kept_as": {"required": True},
            "found": {"required": True, "allow_blank": False},
        }


PropertyChangeSerializer = correction_of(
    "PropertyChangeSerializer", PropertyItem, PROPERTY_LINE,
    "A correction of a thing, with the reason.",
    cash_count=CashCountSerializer(many=True, required=False),
)  # fmt: skip
