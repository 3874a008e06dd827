"""API of what an exhibit answers."""

from __future__ import annotations

from dataclasses import fields, is_dataclass
from datetime import datetime
from functools import cache
from types import UnionType
from typing import Any, get_args, get_origin, get_type_hints
from uuid import UUID

from rest_framework import serializers

from cases.access import Act
from cases.api.shared import seen
from cases.exhibits.api import EXHIBIT
from cases.witness import queries
from cases.witness.answers import ExhibitAnswers
from me_office.shell.endpoints import Shape, at, reads

_PLAIN: dict[object, type[serializers.Field[Any, Any, Any, Any]]] = {
    str: serializers.CharField,
    int: serializers.IntegerField,
    bool: serializers.BooleanField,
    UUID: serializers.UUIDField,
    datetime: serializers.DateTimeField,
}


@cache
def shape_of(answer: type[Any]) -> Shape:
    """Return how a dataclass of answers is written, with those that it holds."""
    hints = get_type_hints(answer)
    said: dict[str, Any] = {one.name: _field(hints[one.name]) for one in fields(answer)}
    said["__doc__"] = answer.__doc__
    named: Shape = type(f"Witness{answer.__name__}", (serializers.Serializer,), said)
    return named


def _field(hint: Any, **more: Any) -> Any:
    if get_origin(hint) is UnionType:
        inner = next(one for one in get_args(hint) if one is not type(None))
        return _field(inner, allow_null=True)
    if get_origin(hint) is tuple:
        inner = get_args(hint)[0]
        if is_dataclass(inner):
            return shape_of(inner)(many=True)  # type: ignore[arg-type]
        return serializers.ListField(child=_field(inner))
    if is_dataclass(hint):
        return shape_of(hint)(**more)  # type: ignore[arg-type]
    return _PLAIN[hint](**more)


routes = [
    at(f"{EXHIBIT}/answers/", "answers",
       get=reads("exhibit_answers", seen("exhibit answers", Act.ANSWER_AS_WITNESS),
           queries.answers_to, shape_of(ExhibitAnswers),
           "Return everything that the record answers about one exhibit.")),
]  # fmt: skip
