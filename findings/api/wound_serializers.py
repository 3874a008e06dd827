"""What the API takes in and prints of wound paths, lividity and rigor."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers

from findings.actions.path import PATH_FIELDS
from findings.actions.postmortem import LIVIDITY_FIELDS, RIGOR_FIELDS
from findings.api.serializers import KEPT, ChangeSerializer
from findings.models import Finding, Lividity, Rigor, WoundPath
from findings.queries import points_of
from findings.wound_paths import Coordinate, direction_of, direction_words


class PathEntrySerializer(serializers.ModelSerializer[WoundPath]):
    """What is written of a wound path."""

    class Meta:
        model = WoundPath
        fields = PATH_FIELDS
        validators: list[Any] = []


class NewPathSerializer(PathEntrySerializer):
    """A new wound path."""

    id = serializers.UUIDField()

    class Meta(PathEntrySerializer.Meta):
        fields = ("id", *PATH_FIELDS)


class PathChangeSerializer(PathEntrySerializer, ChangeSerializer):
    """A changed wound path."""

    class Meta(PathEntrySerializer.Meta):
        fields = ("version", "reason", *PATH_FIELDS)


class CoordinateSerializer(serializers.Serializer[Any]):
    """A coordinate in cm and where it comes from."""

    value = serializers.FloatField(allow_null=True)
    source = serializers.CharField(help_text="measured, derived, or empty when not known")


class PathSerializer(serializers.ModelSerializer[WoundPath]):
    """A wound path with its coordinates and the direction that follows from them."""

    entrance_height = CoordinateSerializer(read_only=True)
    entrance_left = CoordinateSerializer(read_only=True)
    end_height = CoordinateSerializer(read_only=True)
    end_left = CoordinateSerializer(read_only=True)
    direction = serializers.CharField(read_only=True)

    class Meta:
        model = WoundPath
        fields = (
            *KEPT,
            *PATH_FIELDS,
            "entrance_height",
            "entrance_left",
            "end_height",
            "end_left",
            "direction",
        )
        read_only_fields = fields


def printed(path: WoundPath, finding: Finding) -> dict[str, object]:
    """A wound path as PathSerializer describes it."""
    points = points_of(path, finding)
    length = finding.examination.crown_heel_cm
    found = direction_of(points, crown_heel_cm=float(length) if length else None)
    written = {name: getattr(path, name) for name in (*KEPT, *PATH_FIELDS)}
    written["exit_finding"] = path.exit_finding_id
    return {
        **written,
        "entrance_height": _coordinate(points.entrance_height),
        "entrance_left": _coordinate(points.entrance_left),
        "end_height": _coordinate(points.end_height),
        "end_left": _coordinate(points.end_left),
        "direction": direction_words(found) if found else "",
    }


def _coordinate(at: Coordinate) -> dict[str, object]:
    return {"value": at.value, "source": at.source}


class LividityEntrySerializer(serializers.ModelSerializer[Lividity]):
    """What is written of the lividity of one region."""

    class Meta:
        model = Lividity
        fields = LIVIDITY_FIELDS
        validators: list[Any] = []


class NewLividitySerializer(LividityEntrySerializer):
    """The lividity of one more region."""

    id = serializers.UUIDField()

    class Meta(LividityEntrySerializer.Meta):
        fields = ("id", *LIVIDITY_FIELDS)


class LividityChangeSerializer(LividityEntrySerializer, ChangeSerializer):
    """The changed lividity of one region."""

    class Meta(LividityEntrySerializer.Meta):
        fields = ("version", "reason", *LIVIDITY_FIELDS)


class LividitySerializer(serializers.ModelSerializer[Lividity]):
    """The lividity of one region."""

    class Meta:
        model = Lividity
        fields = (*KEPT, *LIVIDITY_FIELDS)
        read_only_fields = fields


class RigorEntrySerializer(serializers.ModelSerializer[Rigor]):
    """What is written of the rigor of one joint."""

    class Meta:
        model = Rigor
        fields = RIGOR_FIELDS
        validators: list[Any] = []


class NewRigorSerializer(RigorEntrySerializer):
    """The rigor of one more joint."""

    id = serializers.UUIDField()

    class Meta(RigorEntrySerializer.Meta):
        fields = ("id", *RIGOR_FIELDS)


class RigorChangeSerializer(RigorEntrySerializer, ChangeSerializer):
    """The changed rigor of one joint."""

    class Meta(RigorEntrySerializer.Meta):
        fields = ("version", "reason", *RIGOR_FIELDS)


class RigorSerializer(serializers.ModelSerializer[Rigor]):
    """The rigor of one joint."""

    class Meta:
        model = Rigor
        fields = (*KEPT, *RIGOR_FIELDS)
        read_only_fields = fields
