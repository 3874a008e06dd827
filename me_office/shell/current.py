"""The current fields of a record, for a client whose version is behind: those the API names."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache
from typing import Any

from django.db.models import Model
from rest_framework import serializers


@cache
def fields_of(model: type[Model]) -> dict[str, str]:
    """Return the fields that an answer about a stale record may hold: name by attribute.

    They are those that the API's own serializers of this record type print, and that stand in its
    row. A record type without a serializer has none, whatever its table holds.
    """
    columns = {
        name: field.attname
        for field in model._meta.concrete_fields
        for name in {field.name, field.attname}
    }
    named: dict[str, str] = {}
    for shape in _shapes_of(model):
        for name, field in shape().fields.items():
            source = (field.source or name).removesuffix(".pk")
            nested = isinstance(field, serializers.BaseSerializer)
            if source in columns and not field.write_only and not nested:
                named[name] = columns[source]
    return named


def current_fields(record: Model) -> dict[str, object]:
    """Return the current fields of a record, by the names that the API gives its fields."""
    attributes = fields_of(type(record))
    return {name: getattr(record, attribute) for name, attribute in attributes.items()}


def _shapes_of(model: type[Model]) -> Iterator[type[serializers.ModelSerializer[Any]]]:
    """Yield the serializers that are made for a record type; all are loaded with the addresses."""
    waiting = list(serializers.ModelSerializer.__subclasses__())
    while waiting:
        shape = waiting.pop(0)
        waiting.extend(shape.__subclasses__())
        meta = getattr(shape, "Meta", None)
        if meta is not None and getattr(meta, "model", None) is model:
            yield shape
