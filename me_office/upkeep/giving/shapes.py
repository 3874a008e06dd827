"""Which rows go where when everything is given out, and what of them stays here."""

from __future__ import annotations

import json
from collections.abc import Iterator
from typing import Any

from django.apps import apps
from django.core.serializers.json import DjangoJSONEncoder
from django.db.models import Model, QuerySet

from me_office.shell.current import fields_of

# Tables that are not given out, each with the reason; whatever is not here goes out.
LEFT_OUT = {
    "sessions.session": "who is signed in now",
    "mfa.authenticator": "secrets of second factors",
    "account.emailaddress": "the sign-in library's own",
    "account.emailconfirmation": "the sign-in library's own",
    "accounts.trycount": "counts of wrong passwords",
    "signatures.signingkey": "private keys, sealed",
    "audit.requestanswer": "answers to requests that may be sent again",
    "jobs.jobprogress": "how far jobs are",
    "upkeep.heartbeat": "which part of the software lives",
    "upkeep.standing": "how the software's conditions stand",
    "contenttypes.contenttype": "the framework's list of tables",
    "auth.permission": "the framework's list of permissions",
    "auth.group_permissions": "what each role permits: the software's",
    "guardian.groupobjectpermission": "the software's",
}
# Columns that are secret, of tables that go out.
SECRET = {"accounts.staff": {"password", "credentials", "session_generation"}}


def of_a_case() -> list[type[Model]]:
    """Return the models whose rows belong to one case each, in a fixed order."""
    return [model for model in _given() if _has(model, "case_id")]


def of_the_office() -> list[type[Model]]:
    """Return the models whose rows belong to no case, in a fixed order; cases are apart."""
    rest = [model for model in _given() if not _has(model, "case_id")]
    return [model for model in rest if model._meta.label_lower != "cases.case"]


def _given() -> list[type[Model]]:
    return sorted(
        (
            model
            for model in apps.get_models(include_auto_created=True)
            if model._meta.managed
            and not model._meta.proxy
            and model._meta.label_lower not in LEFT_OUT
        ),
        key=lambda model: model._meta.label_lower,
    )


def _has(model: type[Model], column: str) -> bool:
    return column in {field.attname for field in model._meta.concrete_fields}


def lines(rows: QuerySet[Any]) -> Iterator[str]:
    """Yield a line of JSON for each row, by key, as the API names its fields."""
    model: type[Model] = rows.model
    named = {column: name for name, column in fields_of(model).items()}
    secret = SECRET.get(model._meta.label_lower, set())
    columns = [
        field.attname for field in model._meta.concrete_fields if field.attname not in secret
    ]
    for row in rows.order_by("pk").values(*columns).iterator(chunk_size=500):
        said = {named.get(column, column): value for column, value in row.items()}
        yield json.dumps(said, cls=DjangoJSONEncoder, ensure_ascii=False) + "\n"
