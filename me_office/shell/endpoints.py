"""Endpoints as declarations: an address, and what may be asked and sent there.

    at("cases/<uuid:case_id>/layers/<uuid:layer_id>/", "layer",
       patch=changes("layer_change", actions.change_layer, LayerChange, Layer, "Change a layer."))

What is sent goes to one action, which asks for permission. The action's own parameters say what
it is given: the keys of the address under their names, of the body `id` as `record_id`, any other
field as the parameter of its name or of its name with `_id` (another name is said in `keys`).
What is left of the body is the `entry`. What is read goes through a `door` first: it lets the
person in to the case, or refuses.
"""

from __future__ import annotations

import functools
from collections.abc import Callable, Collection, Iterable, Mapping
from dataclasses import dataclass
from typing import Any, TypeAlias

from django.urls import URLPattern, path
from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from me_office.audit.actions import parameters
from me_office.audit.errors import NotKnown
from me_office.shell.api import REFUSALS, REFUSALS_OF_A_PASSWORD, checked

Shape: TypeAlias = type[serializers.BaseSerializer[Any]]
Answer: TypeAlias = Callable[..., Response]
Door: TypeAlias = Callable[[Any, Any], Any]
"""Takes the person and the case's key; returns the case. Raises NotKnown or NotAllowed."""


@dataclass(frozen=True)
class Sending:
    """What an endpoint sends where; kept on its method for who checks that they fit."""

    action: Callable[..., object]
    takes: Shape
    keys: Mapping[str, str]

    def arguments(self, url: Mapping[str, object], body: dict[str, object]) -> dict[str, object]:
        """Return what the action is called with. Raises ValidationError for what is lacking."""
        wanted = parameters(self.action)
        named = {self.keys.get(name, name): value for name, value in url.items()}
        given = {name: value for name, value in named.items() if name in wanted}
        # Whatever the address names is settled: a layer has a field `layer`, and `layer_id` a key.
        open_ones = wanted.keys() - given.keys()
        for name in list(body):
            parameter = parameter_for(self.keys.get(name, name), open_ones)
            if parameter is not None:
                given[parameter] = body.pop(name)
        if "entry" in wanted:
            given["entry"] = body
        for name, needed in wanted.items():
            if needed and name not in given:
                given[name] = _lacking(name)
        return given


def parameter_for(field: str, wanted: Collection[str]) -> str | None:
    """Return the parameter that a field of the body is for; None makes it part of the entry."""
    names = ("record_id",) if field == "id" else (field, f"{field}_id")
    return next((name for name in names if name in wanted), None)


def _lacking(name: str) -> str:
    if name == "reason":
        return ""
    wrong = "Send the version that you read." if name == "version" else "This field is required."
    raise serializers.ValidationError({name: [wrong]})


def at(
    address: str, name: str, *, parsers: list[object] | None = None, **methods: Answer
) -> URLPattern:
    """Return the route of an address whose methods (`get=`, `post=` ...) are declared."""
    inside: dict[str, object] = {**methods}
    if parsers is not None:
        inside["parser_classes"] = parsers
    view: type[APIView] = type(f"{name.title().replace('-', '')}View", (APIView,), inside)
    return path(address, view.as_view(), name=name)


def reads(
    operation: str, door: Door, query: Callable[..., object], answers: Shape, says: str,
    *, absent: str = "", many: bool = False,
) -> Answer:  # fmt: skip
    """Answer with what a query finds in a case; where it finds None, `absent` is refused with."""

    def get(self: APIView, request: Request, case_id: object, **url: Any) -> Response:
        found = query(door(request.user, case_id), **url)
        if found is None and absent:
            raise NotKnown(absent)
        return Response(answers(found, many=many).data)

    shown = answers(many=True) if many else answers
    get.__doc__ = says
    return _described(get, operation_id=operation, responses={200: shown, **REFUSALS})


def lists(
    operation: str, door: Door, query: Callable[..., object], answers: Shape, says: str
) -> Answer:
    """Answer with the rows that a query finds in a case."""
    return reads(operation, door, query, answers, says, many=True)


def tells(
    operation: str, query: Callable[..., Iterable[object]], answers: Shape, says: str
) -> Answer:
    """Answer with rows that belong to no case; the query lets the person in, or refuses."""

    def get(self: APIView, request: Request, **url: Any) -> Response:
        return Response(answers(query(request.user, **url), many=True).data)

    get.__doc__ = says
    return _described(get, operation_id=operation, responses={200: answers(many=True), **REFUSALS})


def changes(
    operation: str, action: Callable[..., Any], takes: Shape, answers: Shape, says: str,
    *, shown: Callable[[Any], Any] | None = None, keys: Mapping[str, str] | None = None,
    printed: Callable[[Any], Any] | None = None,
    signed: Callable[[Any, dict[str, Any]], None] | None = None, status: int = 200,
    later: int = 0,
) -> Answer:  # fmt: skip
    """Send the body to an action and answer with its record.

    `shown` turns the record into what is printed, where that is read anew; `printed` prints it by
    itself where `answers` only describes that. `keys` says which keys of the address and fields of
    the body have another name with the action. `signed` takes the person's password out of the
    body and refuses a wrong one. `later` is the status where the record was there before.
    """
    sending = Sending(action, takes, keys or {})

    def send(self: APIView, request: Request, **url: Any) -> Response:
        body = checked(takes, request)
        if signed:
            signed(request, body)
        record = action(request.user, **sending.arguments(url, body))
        old = later and record.version > 1
        said = printed(record) if printed else answers(shown(record) if shown else record).data
        return Response(said, status=later if old else status)

    send.__doc__ = says
    send.sending = sending  # type: ignore[attr-defined]
    refusals = REFUSALS_OF_A_PASSWORD if signed else REFUSALS
    return _described(
        send, operation_id=operation, request=takes, responses={status: answers, **refusals}
    )


# Send the body to an action that makes a record; the same key again gets the same record.
adds = functools.partial(changes, status=201)
# ... that makes a record (`version` 0) or changes it.
saves = functools.partial(changes, status=201, later=200)
# ... whose work a worker does afterward.
asks_for = functools.partial(changes, status=202)


def _described(method: Answer, **schema: Any) -> Answer:
    described: Answer = extend_schema(**schema)(method)
    return described
