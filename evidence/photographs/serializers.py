"""Shapes of photographs and of what they show: one for input, one for output."""

from __future__ import annotations

from rest_framework import serializers

from evidence.photographs.models import Photograph, PhotographFinding
from me_office.shell.shapes import NewShape

PHOTOGRAPH_LINE = [
    "photographer", "taken_at", "place", "view", "with_scale", "graphic", "region", "shows",
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


class NewPhotographLinkSerializer(NewShape):
    """The finding that a photograph shows."""

    finding = serializers.UUIDField()
