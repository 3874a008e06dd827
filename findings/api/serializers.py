"""What the API takes in and prints; input and output are separate."""

from __future__ import annotations

from typing import Any

from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers

from findings.actions import (
    FINDING_FIELDS,
    INTERPRETATION_FIELDS,
    LAYER_FIELDS,
    OPENING_FIELDS,
    RECORDING_FIELDS,
)
from findings.models import Examination, Finding, Interpretation, LayerFinding, Mark
from findings.queries import standard_sentence_of
from findings.questions.queries import questions_about
from findings.rules import MarkKind, PathEnd
from me_office.shell.shapes import ReadShape, ReasonShape, Shape, shape_of

KEPT = ("id", "version", "created_at", "changed_at", "voided_at", "void_reason")
Points = serializers.ListField(
    child=serializers.ListField(child=serializers.FloatField(), min_length=2, max_length=2),
    min_length=1,
    max_length=400,
    help_text="[[u, v], ...] in the view's own coordinates, thousandths of crown-heel length",
)


class ChangeSerializer(serializers.Serializer[Any]):
    """What every change carries: the version that was read, and why."""

    version = serializers.IntegerField(min_value=0)
    reason = serializers.CharField(required=False, allow_blank=True, default="")


class VoidSerializer(ReasonShape):
    """What voiding takes."""


def shapes_of(
    name: str, model: type[Any], fields: tuple[str, ...], *, new: str, change: str, shown: str
) -> tuple[Shape, Shape, Shape]:
    """Return what is sent of a new record, what changes it, and what is printed of it.

    Each has its sentence for the schema.
    """
    kept = (*KEPT, *fields)
    # The action says what may not be there twice.
    sent: dict[str, object] = {"validators": []}
    return (
        shape_of(
            f"New{name}Serializer", model, ("id", *fields), new, meta=sent,
            id=serializers.UUIDField(),
        ),
        shape_of(
            f"{name}ChangeSerializer", model, ("version", "reason", *fields), change,
            bases=(ChangeSerializer,), meta=sent,
        ),
        shape_of(f"{name}Serializer", model, kept, shown, meta={"read_only_fields": kept}),
    )  # fmt: skip


class ExaminationEntrySerializer(serializers.ModelSerializer[Examination]):
    """What is written of an examination."""

    class Meta:
        model = Examination
        fields: tuple[str, ...] = RECORDING_FIELDS
        validators: list[object] = []


class ExaminationOpenSerializer(ExaminationEntrySerializer):
    """Opening an examination."""

    id = serializers.UUIDField()

    class Meta(ExaminationEntrySerializer.Meta):
        fields = ("id", *OPENING_FIELDS)


class ExaminationChangeSerializer(ExaminationEntrySerializer, ChangeSerializer):
    """Recording an examination."""

    class Meta(ExaminationEntrySerializer.Meta):
        fields = ("version", "reason", *RECORDING_FIELDS)


class NegativeSerializer(ReadShape):
    """Confirming one negative statement."""

    statement = serializers.CharField()


class StatementSerializer(serializers.Serializer[Any]):
    """A negative statement as it is offered."""

    key = serializers.CharField()
    section = serializers.CharField()
    words = serializers.CharField()
    stated = serializers.BooleanField()
    findings_against = serializers.ListField(
        child=serializers.IntegerField(), help_text="Numbers of findings that may contradict it"
    )
    needed_first = serializers.CharField(help_text="What has to be recorded before; else empty")


class QuestionSerializer(serializers.Serializer[Any]):
    """Something in the examination that does not go together."""

    words = serializers.CharField()
    finding_id = serializers.UUIDField(allow_null=True)
    section = serializers.CharField()
    offers = serializers.CharField(help_text="A finding to record: probe-hole, or empty.")


class ExaminationSerializer(serializers.ModelSerializer[Examination]):
    """An examination."""

    pathologist = serializers.CharField(source="pathologist.printed_name", read_only=True)

    class Meta:
        model = Examination
        fields = (*KEPT, *RECORDING_FIELDS, "pathologist")
        read_only_fields = fields


class MarkEntrySerializer(serializers.Serializer[Any]):
    """What is drawn for a mark."""

    view = serializers.CharField(max_length=24)
    kind = serializers.ChoiceField(choices=[kind.value for kind in MarkKind])
    points = Points
    end = serializers.ChoiceField(
        choices=[end.value for end in PathEnd],
        required=False,
        allow_blank=True,
        help_text="Which end of a pair; empty for every other kind",
    )
    count_low = serializers.IntegerField(
        required=False, allow_null=True, min_value=1, max_value=10_000
    )
    count_high = serializers.IntegerField(
        required=False, allow_null=True, min_value=1, max_value=10_000
    )


class NewMarkSerializer(MarkEntrySerializer):
    """A new mark."""

    id = serializers.UUIDField()


class MarkChangeSerializer(MarkEntrySerializer, ChangeSerializer):
    """A moved or redrawn mark."""


class MarkSerializer(serializers.ModelSerializer[Mark]):
    """A mark with what was derived for it."""

    points = Points
    letter = serializers.CharField(read_only=True)
    surface_point = serializers.ListField(
        child=serializers.FloatField(), allow_null=True, read_only=True
    )

    class Meta:
        model = Mark
        fields = (
            *KEPT,
            "view",
            "kind",
            "points",
            "end",
            "letter",
            "count_low",
            "count_high",
            "surface_point",
            "region",
            "area_percent",
        )
        read_only_fields = fields


NewLayerSerializer, LayerChangeSerializer, LayerSerializer = shapes_of(
    "Layer", LayerFinding, LAYER_FIELDS,
    new="A new layer.", change="A changed layer.", shown="A layer.",
)  # fmt: skip
NewInterpretationSerializer, InterpretationChangeSerializer, InterpretationSerializer = shapes_of(
    "Interpretation", Interpretation, INTERPRETATION_FIELDS,
    new="A new interpretation.", change="A changed interpretation.", shown="An interpretation.",
)  # fmt: skip


class FindingEntrySerializer(serializers.ModelSerializer[Finding]):
    """What is written of a finding."""

    class Meta:
        model = Finding
        fields: tuple[str, ...] = FINDING_FIELDS
        validators: list[object] = []


class NewFindingSerializer(FindingEntrySerializer):
    """A new finding with its marks."""

    id = serializers.UUIDField()
    marks = NewMarkSerializer(many=True, required=False, default=list)

    class Meta(FindingEntrySerializer.Meta):
        fields = ("id", "marks", *FINDING_FIELDS)


class FindingChangeSerializer(FindingEntrySerializer, ChangeSerializer):
    """A changed finding."""

    sentence_checked = serializers.BooleanField(required=False)

    class Meta(FindingEntrySerializer.Meta):
        fields = ("version", "reason", "sentence_checked", *FINDING_FIELDS)


class FindingSerializer(serializers.ModelSerializer[Finding]):
    """A finding with everything that hangs on it."""

    marks = MarkSerializer(many=True, read_only=True)
    layers = LayerSerializer(many=True, read_only=True)
    interpretations = InterpretationSerializer(many=True, read_only=True)
    standard_sentence = serializers.SerializerMethodField()
    questions = serializers.SerializerMethodField()

    class Meta:
        model = Finding
        fields = (
            *KEPT,
            "number",
            *FINDING_FIELDS,
            "region",
            "place_source",
            "position_source",
            "sentence_for_version",
            "standard_sentence",
            "questions",
            "marks",
            "layers",
            "interpretations",
        )
        read_only_fields = fields

    @extend_schema_field(serializers.CharField())
    def get_standard_sentence(self, finding: Finding) -> str:
        """The standard sentence from the data."""
        return standard_sentence_of(finding)

    @extend_schema_field(serializers.ListField(child=serializers.CharField()))
    def get_questions(self, finding: Finding) -> list[str]:
        """What does not go together: a confirmed statement, a side."""
        return questions_about(finding)
