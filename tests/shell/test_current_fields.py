"""A stale answer says what stands now in the fields that the API names, and nothing else."""

from __future__ import annotations

import json
from functools import cache
from typing import Any

import pytest
from django.apps import apps
from django.test import Client
from django.urls import get_resolver

from me_office.accounts.models import Staff
from me_office.accounts.roles import Role
from me_office.audit.errors import Conflict, StaleRecord
from me_office.audit.models import Record
from me_office.shell.api import answer_error
from tests.builders import make_staff, with_password
from tests.shell.schema import api_schema

get_resolver().url_patterns  # noqa: B018  (loads the serializers of every address)
RECORDS = sorted(
    (one for one in apps.get_models() if issubclass(one, Record)), key=lambda one: one._meta.label
)
ACCOUNT = {
    *("id", "version", "username", "display_name", "credentials", "job_title"),
    *("is_open", "last_login", "must_change_password"),
}
SECRET = {"password", "secret", "token", "session", "recovery", "claim", "digest"}
# Of what was decided about, and of what was approved: whoever approves reads it.
NO_SECRET = {"Approval": {"digest"}, "ItemDecision": {"digest"}}


@cache
def published() -> set[str]:
    """Names of all fields that the written API answers with."""
    schema = api_schema()
    return {
        name
        for shape in schema["components"]["schemas"].values()
        for name, field in shape.get("properties", {}).items()
        if not field.get("writeOnly")
    }


def standing_of(record: Any, error: type[Exception] = StaleRecord) -> set[str]:
    refusal = error(record) if error is StaleRecord else error("Other words.", record=record)
    answer = answer_error(refusal, {})
    return set(answer.data["standing"])


@pytest.mark.parametrize("error", [StaleRecord, Conflict])
def test_of_every_record_only_what_the_api_publishes_is_said(error):
    assert len(RECORDS) > 35
    for model in RECORDS:
        said = standing_of(model(), error)
        assert said <= published(), model
        said -= NO_SECRET.get(model.__name__, set())
        assert not {word for name in said for word in name.split("_")} & SECRET, model


def test_of_an_account_exactly_these_fields_are_said():
    assert standing_of(Staff(password="scrypt$1$salt$hash")) == ACCOUNT


def test_a_record_type_without_an_endpoint_says_nothing():
    from me_office.audit.models import RequestAnswer

    assert standing_of(RequestAnswer()) == set()


def test_a_refusal_without_a_record_has_no_standing_text():
    assert "standing" not in answer_error(Conflict("This number was used before."), {}).data
    assert "standing" not in answer_error(StaleRecord(None), {}).data


@pytest.mark.django_db
def test_no_endpoint_of_accounts_gives_a_password_away(client: Client):
    person = with_password(make_staff(Role.PATHOLOGIST))
    client.force_login(make_staff(Role.ADMINISTRATOR))
    change = {
        "version": 99, "display_name": "X", "roles": ["pathologist"], "reason": "because",
        "job_title": "", "credentials": "", "is_open": False,
    }  # fmt: skip
    for address in (f"/api/people/{person.pk}/", f"/api/people/{person.pk}/standing/"):
        answer = client.put(address, json.dumps(change), content_type="application/json")
        assert answer.status_code == 409, (address, answer.content)
        assert b"scrypt" not in answer.content
        assert answer.json()["standing"]["display_name"] == person.display_name
