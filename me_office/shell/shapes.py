"""Serializers of a record, made from one list of its fields."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from rest_framework import serializers

Shape = type[serializers.ModelSerializer[Any]]


class NewShape(serializers.Serializer[Any]):
    """What is sent to make a record: its key is made by the client."""

    id = serializers.UUIDField()


class ReadShape(serializers.Serializer[Any]):
    """What is sent to change a record: with the version that was read."""

    version = serializers.IntegerField(min_value=1)


class ReasonShape(ReadShape):
    """What is sent to withdraw a record: with the reason."""

    reason = serializers.CharField()


def shape_of(
    name: str,
    model: type[Any],
    fields: Iterable[str],
    says: str,
    /,
    *,
    bases: tuple[type[serializers.Serializer[Any]], ...] = (),
    meta: dict[str, object] | None = None,
    read_only: bool = False,
    **declared: serializers.Field[Any, Any, Any, Any],
) -> Shape:
    """Return the serializer `name` of a model's fields; the schema prints `says` beside it.

    `declared` are fields that are not as the model has them, `meta` whatever else stands in the
    serializer's Meta; `read_only` says in the schema that nothing of it is sent.
    """
    inside = {"model": model, "fields": tuple(fields), **(meta or {})}
    if read_only:
        inside["read_only_fields"] = inside["fields"]
    made: Shape = type(
        name,
        (*bases, serializers.ModelSerializer),
        {"__doc__": says, "Meta": type("Meta", (), inside), **declared},
    )
    return made


def sent_shape(
    name: str,
    model: type[Any],
    fields: Iterable[str],
    says: str,
    /,
    *,
    meta: dict[str, object] | None = None,
    **declared: serializers.Field[Any, Any, Any, Any],
) -> Shape:
    """Return the serializer `name` of what is sent of a record; its action judges it.

    Its `id` is made by the client, and its `version` is the one that was read, where it has them.
    """
    own: dict[str, Any] = {"id": serializers.UUIDField()}
    own["version"] = serializers.IntegerField(min_value=1)
    names = tuple(fields)
    made = {one: field for one, field in own.items() if one in names} | declared
    return shape_of(name, model, names, says, meta={"validators": [], **(meta or {})}, **made)
