"""Lividity and rigor as the API shows and takes them."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers

from findings.api.serializers import KEPT, ChangeSerializer
from findings.postmortem.actions import LIVIDITY_FIELDS, RIGOR_FIELDS
from findings.postmortem.models import Lividity, Rigor


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
