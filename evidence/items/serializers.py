"""What the endpoints of evidence and of custody have in common."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from rest_framework import serializers

from me_office.shell.shapes import Shape, shape_of


class EvidenceVoidSerializer(serializers.Serializer[Any]):
    """Withdrawing a record."""

    version = serializers.IntegerField(min_value=0)
    reason = serializers.CharField(max_length=500)


def printed_with_item(
    name: str, model: type[Any], fields: Iterable[str], says: str, **declared: Any
) -> Shape:
    """Return what is printed of a record that is an item: its item's number beside its fields."""
    shown = ("id", "version", "item", "item_number", "voided_at", *fields)
    number = serializers.IntegerField(source="item.number", read_only=True)
    return shape_of(
        name, model, shown, says, meta={"read_only_fields": shown}, item_number=number, **declared
    )


def correction_of(
    name: str, model: type[Any], fields: Iterable[str], says: str, **declared: Any
) -> Shape:
    """Return what corrects a record that lies under seal: the version that was read, and why."""
    bases = (EvidenceVoidSerializer,)
    return shape_of(name, model, ("version", "reason", *fields), says, bases=bases, **declared)
