"""What the endpoints of evidence and of custody have in common."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers


class EvidenceVoidSerializer(serializers.Serializer[Any]):
    """Withdrawing a record."""

    version = serializers.IntegerField(min_value=0)
    reason = serializers.CharField(max_length=500)
