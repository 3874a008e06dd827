"""Organ weights as the API shows and takes them."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers

from findings.api.serializers import KEPT, ChangeSerializer
from findings.organs.actions import ORGAN_FIELDS
from findings.organs.models import OrganWeight


class OrganWeightEntrySerializer(serializers.ModelSerializer[OrganWeight]):
    """What is written of an organ's weight."""

    class Meta:
        model = OrganWeight
        fields = ORGAN_FIELDS
        validators: list[Any] = []


class NewOrganWeightSerializer(OrganWeightEntrySerializer):
    """A new organ weight."""

    id = serializers.UUIDField()

    class Meta(OrganWeightEntrySerializer.Meta):
        fields = ("id", *ORGAN_FIELDS)


class OrganWeightChangeSerializer(OrganWeightEntrySerializer, ChangeSerializer):
    """A changed organ weight."""

    class Meta(OrganWeightEntrySerializer.Meta):
        fields = ("version", "reason", *ORGAN_FIELDS)


class OrganWeightSerializer(serializers.ModelSerializer[OrganWeight]):
    """An organ weight."""

    class Meta:
        model = OrganWeight
        fields = (*KEPT, *ORGAN_FIELDS)
        read_only_fields = fields
