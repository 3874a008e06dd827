"""Wound paths as the API shows and takes them."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers

from findings.api.serializers import KEPT, shapes_of
from findings.models import Finding
from findings.paths.actions import PATH_FIELDS
from findings.paths.models import WoundPath
from findings.paths.queries import points_of
from findings.paths.wound_paths import Coordinate, direction_of, direction_words
from me_office.audit.fields import said_of

NewPathSerializer, PathChangeSerializer = shapes_of(
    "Path", WoundPath, PATH_FIELDS,
    new="A new wound path.", change="A changed wound path.", shown="A wound path.",
)[:2]  # fmt: skip


class CoordinateSerializer(serializers.Serializer[Any]):
    """A coordinate in cm and where it comes from."""

    value = serializers.FloatField(allow_null=True)
    source = serializers.CharField(help_text="measured, derived, or empty when not known")  # type: ignore[assignment]


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
    written = said_of(path, (*KEPT, *PATH_FIELDS))
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
