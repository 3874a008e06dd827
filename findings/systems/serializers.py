"""The internal examination by system, slides and templates as the API shows and takes them."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers

from findings.api.serializers import KEPT, ChangeSerializer, shapes_of
from findings.systems.blanks import LONGEST_LINE, LONGEST_WORDS
from findings.systems.catalogue import SYSTEMS
from findings.systems.models import MicroscopicSlide, SystemPart, SystemTemplate
from findings.systems.rules import LONGEST_WHY, MOST_LINES, Decision
from findings.systems.slide_actions import SLIDE_FIELDS
from me_office.shell.shapes import NewShape, shape_of

PART_KEPT = (*KEPT, "part", "decision", "words", "why", "sentences", "said")


class SentenceDecisionSerializer(serializers.Serializer[Any]):
    """What was decided about one sentence, and what stands in its blanks, by their labels."""

    kept = serializers.BooleanField(allow_null=True, required=False, default=None)
    filled = serializers.DictField(
        child=serializers.CharField(max_length=LONGEST_WORDS, allow_blank=True), required=False
    )


class LaidSentenceSerializer(serializers.Serializer[Any]):
    """A sentence that was laid: its words with blanks, kept or struck, and from which template."""

    text = serializers.CharField()
    kept = serializers.BooleanField(allow_null=True)
    filled = serializers.DictField(child=serializers.CharField())
    template = serializers.CharField()


SystemPartSerializer = shape_of(
    "SystemPartSerializer",
    SystemPart,
    PART_KEPT,
    "One part of a body system: what was decided, and what the report says of it.",
    meta={"read_only_fields": PART_KEPT},
    sentences=LaidSentenceSerializer(many=True, read_only=True),
)


class SystemPartDecisionSerializer(ChangeSerializer):
    """The decision on one part; version 0 begins it under a key of the client's."""

    id = serializers.UUIDField()
    decision = serializers.ChoiceField(
        choices=[one.value for one in Decision], allow_blank=True, required=False
    )
    words = serializers.CharField(allow_blank=True, required=False)
    why = serializers.CharField(allow_blank=True, required=False, max_length=LONGEST_WHY)
    sentences = SentenceDecisionSerializer(
        many=True, required=False, help_text="One for each sentence that was laid, in order"
    )


class UseTemplateSerializer(serializers.Serializer[Any]):
    """Which template's sentences are laid: its key, or the standard sentences."""

    template = serializers.CharField(max_length=40)
    reason = serializers.CharField(required=False, allow_blank=True, default="")


class LeaveOutSerializer(serializers.Serializer[Any]):
    """Why the parts of a system that are not decided were not examined."""

    why = serializers.CharField(max_length=LONGEST_WHY)
    reason = serializers.CharField(required=False, allow_blank=True, default="")


NewSlideSerializer, SlideChangeSerializer, _ = shapes_of(
    "MicroscopicSlide", MicroscopicSlide, SLIDE_FIELDS,
    new="A new slide that was read.", change="A changed slide.", shown="A slide that was read.",
)  # fmt: skip


SLIDE_KEPT = (*KEPT, "number", *SLIDE_FIELDS)
SlideSerializer = shape_of(
    "MicroscopicSlideSerializer",
    MicroscopicSlide,
    SLIDE_KEPT,
    "A slide that was read.",
    meta={"read_only_fields": SLIDE_KEPT},
)


def _lines(**more: Any) -> serializers.DictField:
    return serializers.DictField(
        child=serializers.ListField(
            child=serializers.CharField(max_length=LONGEST_LINE), max_length=MOST_LINES
        ),
        help_text="Sentences by part",
        **more,
    )


class NewSystemTemplateSerializer(NewShape):
    """New sentences for a system."""

    system = serializers.ChoiceField(choices=[(one.key, one.title) for one in SYSTEMS.values()])
    title = serializers.CharField(max_length=80)
    lines = _lines()
    stands_for_standard = serializers.BooleanField(required=False, default=False)


class SystemTemplateChangeSerializer(ChangeSerializer):
    """A new edition of a template, under a key of its own; only the fields sent change."""

    id = serializers.UUIDField()
    title = serializers.CharField(max_length=80, required=False)
    lines = _lines(required=False)
    stands_for_standard = serializers.BooleanField(required=False)


SystemTemplateSerializer = shape_of(
    "SystemTemplateSerializer",
    SystemTemplate,
    (*KEPT, "system", "title", "lines", "stands_for_standard", "number", "replaces"),
    "Sentences that are offered for a system.",
    meta={"read_only_fields": (*KEPT, "system", "title", "number", "replaces")},
    lines=_lines(read_only=True),
)
