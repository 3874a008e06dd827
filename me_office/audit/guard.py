"""Puts the audit triggers on every table that must have them, after every migration.

Plain SQL triggers, not a library's: they have no switch that the application's role could set.
A model says what it needs: `watched` (changes are written to the trail), `kept_for_ever` (rows
are never deleted), `append_only` (rows are never changed either). Who made a record, when, and for
which case never changes.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from django.apps import apps
from django.db import connections, models

from me_office.audit import sql_files
from me_office.audit.triggers import Trigger, has_function, put_right

# Tables of other apps that say who may get in, and what they may do there.
ALSO_WATCHED = [
    "accounts_staff_groups",
    "accounts_staff_user_permissions",
    "auth_group",
    "auth_group_permissions",
    "auth_permission",
    "guardian_groupobjectpermission",
    "guardian_userobjectpermission",
    "mfa_authenticator",
]
FIXED = ("id", "created_at", "created_by_id", "case_id")


def models_that(flag: str) -> list[type[models.Model]]:
    """Return all models that carry a flag, in the order of their tables."""
    return sorted(
        (
            model
            for model in apps.get_models()
            if getattr(model, flag, False) and model._meta.managed and not model._meta.proxy
        ),
        key=lambda model: model._meta.db_table,
    )


def tables_that(flag: str) -> list[str]:
    """Return the tables of all models that carry a flag, in a fixed order."""
    return [model._meta.db_table for model in models_that(flag)]


def triggers() -> Iterator[Trigger]:
    """Yield every trigger that the models ask for."""
    for table in [*tables_that("watched"), *ALSO_WATCHED]:
        yield _on(table, "audit_change")
    for model in models_that("watched"):
        columns = {field.column for field in model._meta.concrete_fields}
        changed = " OR ".join(
            f"old.{name} IS DISTINCT FROM new.{name}" for name in FIXED if name in columns
        )
        yield _on(model._meta.db_table, "keep_authorship", changed=changed)
    for name, flag in (("never_deleted", "kept_for_ever"), ("append_only", "append_only")):
        for table in tables_that(flag):
            yield _on(table, name)


def guard_tables(*, using: str = "default", **_: object) -> None:
    """Make the functions and triggers that are not as they must be; safe to run again.

    What stands as it must is left alone (`put_right`).
    """
    connection = connections[using]
    if has_function(connection, "audit_keep_authorship"):
        _make_functions_again(connection)
        put_right(connection, triggers())


def _on(table: str, name: str, **filled: str) -> Trigger:
    return Trigger(table, name, sql_files.trigger(name, table, **filled))


def _make_functions_again(connection: Any) -> None:
    """Make each function again that is there and is not as its file says."""
    with connection.cursor() as cursor:
        cursor.execute(
            "SELECT proname, pg_get_functiondef(p.oid) FROM pg_proc p"
            " JOIN pg_namespace n ON n.oid = pronamespace"
            " WHERE nspname = 'public' AND proname = ANY (%s)",
            [sql_files.function_names()],
        )
        for name, there in cursor.fetchall():
            if there != sql_files.function(name):
                cursor.execute(sql_files.function(name))
