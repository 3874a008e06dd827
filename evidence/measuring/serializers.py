"""Shapes of measurements and copies: one for input, one for output."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers

from evidence.measuring.models import CopyRequest, DerivedCopy, Measurement, MeasurementUse
from evidence.measuring.rules import CopyKind, Dimension, ScaleKind
from findings.calculations.photo_measurement import MeasureKind
from findings.calculations.straight_scale import LEAST_TILT_DEG, MOST_TILT_DEG
from me_office.shell.shapes import NewShape, ReadShape


def _values(words: Any) -> list[str]:
    return [word.value for word in words]


class PairField(serializers.ListField):
    """Two numbers: x and y."""

    child = serializers.FloatField()

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(min_length=2, max_length=2, **kwargs)


class ScalePointSerializer(serializers.Serializer[Any]):
    """One picked point of the scale, and its place on the scale's plane."""

    # A field of this name shadows an attribute of the base, by design.
    label = serializers.CharField(  # type: ignore[assignment]
        required=False, allow_blank=True, max_length=60
    )
    px = PairField(help_text="Pixels of the original, upright")
    mm = PairField(help_text="Millimeters on the scale; a straight one: 0, 0 and its length, 0")


class ReadingSerializer(serializers.Serializer[Any]):
    """What was picked in the photograph."""

    kind = serializers.ChoiceField(choices=_values(MeasureKind))
    scale_kind = serializers.ChoiceField(choices=_values(ScaleKind))
    scale_name = serializers.CharField(required=False, allow_blank=True, max_length=40)
    scale_points = ScalePointSerializer(many=True)
    points = serializers.ListField(child=PairField(), max_length=200)
    scale_in_plane = serializers.BooleanField()
    click_px = serializers.FloatField(required=False, min_value=0.1, max_value=100)
    scale_mm = serializers.FloatField(required=False, min_value=0, max_value=10)
    tilt_deg = serializers.FloatField(
        required=False,
        min_value=LEAST_TILT_DEG,
        max_value=MOST_TILT_DEG,
        help_text="Straight scale: the most that the camera may have been tilted; 50 if not given",
    )
    depth_mm = serializers.FloatField(
        required=False,
        min_value=0,
        max_value=100,
        help_text="Straight scale: how far it may lie above or below what is measured; 5 if not "
        "given",
    )


class NewMeasurementSerializer(ReadingSerializer):
    """A measurement to keep."""

    id = serializers.UUIDField(help_text="Made by the client; the same again is the same record")
    finding = serializers.UUIDField(required=False, allow_null=True)
    note = serializers.CharField(required=False, allow_blank=True, max_length=240)


class QuantitySerializer(serializers.Serializer[Any]):
    """One measured quantity with its 95 % interval, or the limits of a straight scale."""

    name = serializers.CharField()
    unit = serializers.CharField()
    value = serializers.FloatField()
    u = serializers.FloatField(help_text="Standard uncertainty, linear propagation; without tilt")
    low = serializers.FloatField()
    high = serializers.FloatField()


class TrialSerializer(serializers.Serializer[Any]):
    """What the picked points give; nothing is kept."""

    refusal = serializers.CharField(allow_blank=True)
    words = serializers.CharField(allow_blank=True)
    residual = serializers.CharField(allow_blank=True)
    interval = serializers.CharField(help_text="What low and high are")
    covered = serializers.ListField(child=serializers.CharField())
    left_out = serializers.ListField(child=serializers.CharField())
    warnings = serializers.ListField(child=serializers.CharField())
    quantities = QuantitySerializer(many=True)


class CornerSerializer(serializers.Serializer[Any]):
    """A corner near the picked point; `found` is false where there is no clear one."""

    found = serializers.BooleanField()
    x = serializers.FloatField(required=False)
    y = serializers.FloatField(required=False)
    moved_px = serializers.FloatField(required=False)


class MeasurementSerializer(serializers.ModelSerializer[Measurement]):
    """A kept measurement."""

    words = serializers.CharField(read_only=True)
    result = serializers.JSONField(
        source="shown",
        read_only=True,
        help_text="As it may be shown: low and high are null where an earlier method's interval "
        "is withheld",
    )
    covered = serializers.ListField(child=serializers.CharField(), read_only=True)
    left_out = serializers.ListField(child=serializers.CharField(), read_only=True)

    class Meta:
        model = Measurement
        fields = [
            "id", "version", "number", "photograph", "finding", "kind", "scale_kind", "points",
            "inputs", "result", "words", "covered", "left_out", "method", "method_version", "note",
            "voided_at", "void_reason",
        ]  # fmt: skip
        read_only_fields = fields


class UseSerializer(NewShape):
    """Which finding takes its size from a measurement."""

    finding = serializers.UUIDField()
    version = serializers.IntegerField(min_value=0, help_text="The finding's version")
    dimension = serializers.ChoiceField(choices=_values(Dimension))


class MeasurementUseSerializer(serializers.ModelSerializer[MeasurementUse]):
    """A finding took its size from a measurement."""

    class Meta:
        model = MeasurementUse
        fields = ["id", "version", "measurement", "finding", "dimension"]
        read_only_fields = fields


class NewCopySerializer(NewShape):
    """A copy to make."""

    measurement = serializers.UUIDField()
    kind = serializers.ChoiceField(choices=_values(CopyKind))
    with_line = serializers.BooleanField(
        default=True, help_text="For a rectified copy: the measured line with its size"
    )
    note = serializers.CharField(required=False, allow_blank=True, max_length=240)


class RetrySerializer(ReadShape):
    """Tries again."""


class CopyRequestSerializer(serializers.ModelSerializer[CopyRequest]):
    """A copy that was asked for, and how far it is."""

    percent = serializers.IntegerField(read_only=True)
    step = serializers.CharField(read_only=True)

    class Meta:
        model = CopyRequest
        fields = [
            "id", "version", "photograph", "measurement", "kind", "with_line", "note", "state",
            "percent", "step", "failure",
        ]  # fmt: skip
        read_only_fields = fields


class CopySerializer(serializers.ModelSerializer[DerivedCopy]):
    """A derived copy, with what a third party needs to make it again."""

    sha256 = serializers.CharField(source="file.sha256", read_only=True)
    size_bytes = serializers.IntegerField(source="file.size_bytes", read_only=True)

    class Meta:
        model = DerivedCopy
        fields = [
            "id", "version", "number", "photograph", "measurement", "kind", "parent_sha256",
            "operations", "software", "sha256", "pixels_sha256", "size_bytes", "note",
            "voided_at", "void_reason",
        ]  # fmt: skip
        read_only_fields = fields
