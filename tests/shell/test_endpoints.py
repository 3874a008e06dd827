"""Endpoints that are declared: what is sent reaches the action, whole and under its name."""

from __future__ import annotations

import inspect
from typing import Any

import pytest
from django.urls import URLPattern, get_resolver
from rest_framework import serializers

from me_office.audit.actions import parameters
from me_office.shell.endpoints import Sending, parameter_for


def _routes(patterns: Any) -> list[URLPattern]:
    found = []
    for one in patterns:
        found += [one] if isinstance(one, URLPattern) else _routes(one.url_patterns)
    return found


def _declared() -> list[tuple[str, set[str], Sending]]:
    """Name, keys of the address, and what is sent where, of every declared endpoint."""
    return [
        (f"{route.pattern} {method}", set(route.pattern.converters), sending)
        for route in _routes(get_resolver().url_patterns)
        for method in ("post", "put", "patch")
        if (view := getattr(route.callback, "cls", None)) is not None
        and (sending := getattr(getattr(view, method, None), "sending", None)) is not None
    ]


def test_every_declared_action_gets_what_it_needs_and_loses_nothing() -> None:
    declared = _declared()
    assert len(declared) > 40
    for name, url, sending in declared:
        wanted = parameters(sending.action)
        fields = set(sending.takes().get_fields()) - {"password"}
        named = {sending.keys.get(field, field) for field in fields}
        addressed = {sending.keys.get(key, key) for key in url}
        reached = {parameter_for(field, wanted.keys() - addressed) for field in named}
        given = (reached | addressed | {"entry"}) - {None}
        lacking = {one for one, needed in wanted.items() if needed} - given - {"reason"}
        assert not lacking, f"{name}: the action also needs {lacking}"
        if "entry" not in wanted:
            left = named - {one for one in named if parameter_for(one, wanted.keys() - addressed)}
            assert not left, f"{name}: {left} go nowhere"


def test_the_case_of_an_address_reaches_its_action_so_that_no_other_cases_record_is_meant() -> None:
    of_cases = [one for one in _declared() if "case_id" in one[1]]
    assert len(of_cases) > 150
    lost = [name for name, _, sending in of_cases if "case_id" not in parameters(sending.action)]
    assert lost == []


def test_every_declared_action_takes_the_actor_first() -> None:
    for name, _, sending in _declared():
        first = next(iter(inspect.signature(sending.action).parameters))
        assert first == "actor", name


class Shape(serializers.Serializer[Any]):
    """Nothing of it is read here."""


def _change(actor: Any, *, case_id: int, mark_id: int, version: int, entry: Any, reason: str,
            finding_id: int = 0) -> None:  # fmt: skip
    """Stand for an action."""


def test_a_field_goes_to_the_parameter_of_its_name_and_the_rest_is_the_entry() -> None:
    sending = Sending(_change, Shape, {})
    said = {"version": 2, "reason": "Seen again.", "finding": 9, "view": "front"}
    assert sending.arguments({"case_id": 1, "mark_id": 3, "kit_id": 5}, said) == {
        "case_id": 1,
        "mark_id": 3,
        "version": 2,
        "reason": "Seen again.",
        "finding_id": 9,
        "entry": {"view": "front"},
    }


def test_a_field_never_takes_the_place_of_a_key_of_the_address() -> None:
    sending = Sending(_change, Shape, {})
    said = {"version": 2, "mark": "burn", "case_id": 7, "case": 8}
    given = sending.arguments({"case_id": 1, "mark_id": 3}, said)
    assert (given["case_id"], given["mark_id"]) == (1, 3)
    assert given["entry"] == {"mark": "burn", "case_id": 7, "case": 8}


def test_a_change_without_a_version_is_refused_beside_it() -> None:
    with pytest.raises(serializers.ValidationError) as refused:
        Sending(_change, Shape, {}).arguments({"case_id": 1, "mark_id": 3}, {"view": "front"})
    assert refused.value.detail == {"version": ["Send the version that you read."]}


def test_without_a_reason_the_action_asks_for_it_itself() -> None:
    given = Sending(_change, Shape, {}).arguments({"case_id": 1, "mark_id": 3}, {"version": 1})
    assert given["reason"] == ""
    assert "finding_id" not in given


def test_the_key_of_a_body_is_the_records_although_the_address_has_one_too() -> None:
    def decide(actor: Any, *, request_id: int, record_id: int) -> None:
        """Stand for an action."""

    sending = Sending(decide, Shape, {"record_id": "request_id"})
    assert sending.arguments({"record_id": 1}, {"id": 2}) == {"request_id": 1, "record_id": 2}
