"""Specimens, kits and their parts as the API shows and takes them."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers

from evidence.custody.serializers import HandOverSerializer
from evidence.items.kinds import BY_OTHERS, KITS
from evidence.items.serializers import correction_of, printed_with_item
from evidence.specimens.models import Kit, Specimen
from me_office.shell.api_moment import ApiMomentField

SPECIMEN_LINE = [
    "material",
    "site",
    "site_reason",
    "amount",
    "unit",
    "container",
    "preservative",
    "purpose",
]
ORIGIN_LINE = ["taken_by", "taken_where", "label_time", "received_from"]


class ReceivedSpecimenSerializer(serializers.ModelSerializer[Specimen]):
    """A specimen that others took, with how it came and where it is kept."""

    id = serializers.UUIDField()
    origin = serializers.ChoiceField(choices=BY_OTHERS)
    taken_at = ApiMomentField(required=False, allow_null=True)
    received_at = ApiMomentField()
    received_place = serializers.CharField(max_length=160)
    came_sealed = serializers.BooleanField()
    seal_number = serializers.CharField(max_length=80)
    seal_number_repeats = serializers.CharField(required=False, allow_blank=True, max_length=240)
    sealed_at = ApiMomentField(required=False, allow_null=True)
    reason = serializers.CharField(required=False, allow_blank=True, max_length=500)

    class Meta:
        model = Specimen
        fields = [
            "id", *SPECIMEN_LINE, "origin", *ORIGIN_LINE, "taken_at", "received_at",
            "received_place", "came_sealed", "seal_number", "seal_number_repeats", "sealed_at",
            "reason",
        ]  # fmt: skip
        extra_kwargs = {name: {"required": True, "allow_blank": False} for name in ORIGIN_LINE}


SpecimenSerializer = printed_with_item(
    "SpecimenSerializer", Specimen, ("label", *SPECIMEN_LINE, "origin", *ORIGIN_LINE),
    "A specimen with its item.",
)  # fmt: skip


class NewSpecimenSerializer(HandOverSerializer, serializers.ModelSerializer[Specimen]):
    """A new specimen with its seal and first transfer."""

    class Meta:
        model = Specimen
        fields = [
            "id", *SPECIMEN_LINE, "collected_at", "collected_by", "seal_number",
            "seal_number_repeats", "to_party", "to_where",
            "to_staff", "handed_over_at", "transfer_place", "transfer_purpose", "reason",
        ]  # fmt: skip


SpecimenChangeSerializer = correction_of(
    "SpecimenChangeSerializer", Specimen, (*SPECIMEN_LINE, *ORIGIN_LINE),
    "A correction of a specimen, with the reason.",
)  # fmt: skip


KitSerializer = printed_with_item(
    "KitSerializer", Kit, ("kind", "description"),
    "A kit or tray with its item; its parts are the specimens whose items lie in it.",
)  # fmt: skip


class KitPartSerializer(serializers.ModelSerializer[Specimen]):
    """One part: its label in the kit or tray, what it is and where it is from."""

    label = serializers.CharField(max_length=20)  # type: ignore[assignment]

    class Meta:
        model = Specimen
        fields = ["label", "material", "site", "amount", "unit"]


class NewKitSerializer(HandOverSerializer):
    """A kit or tray with its parts, its seal and its first transfer."""

    kind = serializers.ChoiceField(choices=KITS)
    description = serializers.CharField(required=False, allow_blank=True, max_length=120)
    container = serializers.CharField(max_length=120)
    preservative = serializers.CharField(required=False, allow_blank=True, max_length=120)
    purpose = serializers.CharField(required=False, allow_blank=True, max_length=120)
    site_reason = serializers.CharField(required=False, allow_blank=True, max_length=240)
    parts = KitPartSerializer(many=True)


class PartMoveSerializer(serializers.Serializer[Any]):
    """The kit that a part is in, by its key, and its label there."""

    version = serializers.IntegerField(min_value=0)
    kit = serializers.UUIDField()
    label = serializers.CharField(required=False, allow_blank=True, max_length=20)  # type: ignore[assignment]
    reason = serializers.CharField(max_length=500)


class PartOutSerializer(HandOverSerializer):
    """Seal and first transfer of a part that was never in its kit."""

    id = None  # type: ignore[assignment]
    version = serializers.IntegerField(min_value=0)
    reason = serializers.CharField(max_length=500)
