"""Shapes of photographs, links, specimens and property: one for input, one for output."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers

from evidence.forms import office_staff
from evidence.kinds import BY_OTHERS, KITS
from evidence.models import Kit, Photograph, PhotographFinding, PropertyItem, Specimen
from evidence.receivers import WHERE
from me_office.shell.api_moment import ApiMomentField

PHOTOGRAPH_LINE = [
    "photographer", "taken_at", "place", "view", "with_scale", "graphic", "region", "shows",
]  # fmt: skip
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
PROPERTY_LINE = [
    "category", "kept_as", "description", "found", "found_at", "finding", "witnessed_by",
    "cash_count", "cash_currency",
]  # fmt: skip


class PhotographSerializer(serializers.ModelSerializer[Photograph]):
    """A photograph as the log has it."""

    item_number = serializers.IntegerField(source="item.number", read_only=True)
    sha256 = serializers.CharField(source="file.sha256", read_only=True)
    size_bytes = serializers.IntegerField(source="file.size_bytes", read_only=True)
    media_type = serializers.CharField(source="file.media_type", read_only=True)

    class Meta:
        model = Photograph
        fields = [
            "id", "version", "number", "item", "item_number", "original_name", "sha256",
            "size_bytes", "media_type", "width_px", "height_px", "exif", "preview", "voided_at",
            *PHOTOGRAPH_LINE,
        ]  # fmt: skip
        read_only_fields = fields


class NewPhotographSerializer(serializers.ModelSerializer[Photograph]):
    """One file with its line in the log, as multipart/form-data."""

    id = serializers.UUIDField(help_text="Made by the client; the same again is the same record")
    upload = serializers.FileField(allow_empty_file=True)
    finding_ids = serializers.ListField(child=serializers.UUIDField(), required=False)
    reason = serializers.CharField(required=False, allow_blank=True, max_length=500)

    class Meta:
        model = Photograph
        fields = ["id", "upload", "finding_ids", "reason", *PHOTOGRAPH_LINE]


class PhotographChangeSerializer(serializers.ModelSerializer[Photograph]):
    """A change of a photograph's line; fields that are not sent stay."""

    version = serializers.IntegerField(min_value=0)
    reason = serializers.CharField(required=False, allow_blank=True, max_length=500)

    class Meta:
        model = Photograph
        fields = ["version", "reason", *PHOTOGRAPH_LINE]


class PhotographLinkSerializer(serializers.ModelSerializer[PhotographFinding]):
    """A photograph shows a finding."""

    class Meta:
        model = PhotographFinding
        fields = ["id", "version", "photograph", "finding", "outline", "voided_at", "void_reason"]
        read_only_fields = fields


class NewPhotographLinkSerializer(serializers.Serializer[Any]):
    """The finding that a photograph shows."""

    id = serializers.UUIDField()
    finding = serializers.UUIDField()


class HandOverSerializer(serializers.Serializer[Any]):
    """Seal and first transfer of a new item."""

    id = serializers.UUIDField()
    collected_at = ApiMomentField()
    collected_by = serializers.PrimaryKeyRelatedField(queryset=office_staff(), required=False)
    seal_number = serializers.CharField(max_length=80)
    seal_number_repeats = serializers.CharField(required=False, allow_blank=True, max_length=240)
    to_party = serializers.CharField(max_length=160, required=False, allow_blank=True)
    to_staff = serializers.PrimaryKeyRelatedField(
        queryset=office_staff(), required=False, allow_null=True
    )
    to_where = serializers.ChoiceField(choices=WHERE, required=False, allow_blank=True)
    handed_over_at = ApiMomentField()
    transfer_place = serializers.CharField(max_length=160)
    transfer_purpose = serializers.CharField(max_length=160)
    reason = serializers.CharField(required=False, allow_blank=True, max_length=500)


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


class SpecimenSerializer(serializers.ModelSerializer[Specimen]):
    """A specimen with its item."""

    item_number = serializers.IntegerField(source="item.number", read_only=True)

    class Meta:
        model = Specimen
        fields = [
            "id", "version", "item", "item_number", "voided_at", "label", *SPECIMEN_LINE, "origin",
            *ORIGIN_LINE,
        ]  # fmt: skip
        read_only_fields = fields


class NewSpecimenSerializer(HandOverSerializer, serializers.ModelSerializer[Specimen]):
    """A new specimen with its seal and first transfer."""

    class Meta:
        model = Specimen
        fields = [
            "id", *SPECIMEN_LINE, "collected_at", "collected_by", "seal_number",
            "seal_number_repeats", "to_party", "to_where",
            "to_staff", "handed_over_at", "transfer_place", "transfer_purpose", "reason",
        ]  # fmt: skip


class SpecimenChangeSerializer(serializers.ModelSerializer[Specimen]):
    """A correction of a specimen, with the reason."""

    version = serializers.IntegerField(min_value=0)
    reason = serializers.CharField(max_length=500)

    class Meta:
        model = Specimen
        fields = ["version", "reason", *SPECIMEN_LINE, *ORIGIN_LINE]


class CashCountSerializer(serializers.Serializer[Any]):
    """So many pieces of one denomination."""

    pieces = serializers.IntegerField(min_value=1, max_value=999_999)
    value = serializers.RegexField(r"^[0-9]{1,7}(\.[0-9]{1,3})?$")


class KitSerializer(serializers.ModelSerializer[Kit]):
    """A kit or tray with its item; its parts are the specimens whose items lie in it."""

    item_number = serializers.IntegerField(source="item.number", read_only=True)

    class Meta:
        model = Kit
        fields = ["id", "version", "item", "item_number", "voided_at", "kind", "description"]
        read_only_fields = fields


class KitPartSerializer(serializers.ModelSerializer[Specimen]):
    """One part: its label in the kit or tray, what it is and where it is from."""

    label = serializers.CharField(max_length=20)

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
    label = serializers.CharField(required=False, allow_blank=True, max_length=20)
    reason = serializers.CharField(max_length=500)


class PartOutSerializer(HandOverSerializer):
    """Seal and first transfer of a part that was never in its kit."""

    id = None
    version = serializers.IntegerField(min_value=0)
    reason = serializers.CharField(max_length=500)


class PropertySerializer(serializers.ModelSerializer[PropertyItem]):
    """A thing with its item."""

    item_number = serializers.IntegerField(source="item.number", read_only=True)
    cash_count = CashCountSerializer(many=True, read_only=True)

    class Meta:
        model = PropertyItem
        fields = ["id", "version", "item", "item_number", "voided_at", *PROPERTY_LINE]
        read_only_fields = fields


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


class PropertyChangeSerializer(serializers.ModelSerializer[PropertyItem]):
    """A correction of a thing, with the reason."""

    version = serializers.IntegerField(min_value=0)
    reason = serializers.CharField(max_length=500)
    cash_count = CashCountSerializer(many=True, required=False)

    class Meta:
        model = PropertyItem
        fields = ["version", "reason", *PROPERTY_LINE]
