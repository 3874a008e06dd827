"""Puts the audit triggers on every table that must have them, after every migration.

Plain SQL triggers, not a library's: they have no switch that the application's role could set.
A model says what it needs: `watched` (changes are written to the trail), `kept_for_ever` (rows
are never deleted), `append_only` (rows are never changed either). Who made a record, when, and for
which case never changes.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from django.apps import apps
from django.db import connections, models

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


@dataclass(frozen=True)
class Trigger:
    """One trigger as it must stand; `after` and `when` in the words of `pg_get_triggerdef`."""

    table: str
    name: str
    moment: str
    how: str

    @property
    def statement(self) -> str:
        """The statement, letter for letter as the server tells it of a trigger that is there."""
        return f"CREATE TRIGGER {self.name} {self.moment} ON {self.table} {self.how}"


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
        moment = "AFTER INSERT OR DELETE OR UPDATE"
        yield Trigger(table, "audit_change", moment, _each("audit_change()"))
    for model in models_that("watched"):
        columns = {field.column for field in model._meta.concrete_fields}
        changed = " OR ".join(
            f"old.{name} IS DISTINCT FROM new.{name}" for name in FIXED if name in columns
        )
        how = f"FOR EACH ROW WHEN ({changed}) EXECUTE FUNCTION audit_keep_authorship()"
        yield Trigger(model._meta.db_table, "keep_authorship", "BEFORE UPDATE", how)
    refuse = "FOR EACH STATEMENT EXECUTE FUNCTION audit_refuse()"
    for table in tables_that("kept_for_ever"):
        yield Trigger(table, "never_deleted", "BEFORE DELETE OR TRUNCATE", refuse)
    for table in tables_that("append_only"):
        yield Trigger(table, "append_only", "BEFORE DELETE OR UPDATE OR TRUNCATE", refuse)


def guard_tables(*, using: str = "default", **_: Any) -> None:
    """Make the triggers that are missing or not as they must be; safe to run again.

    One that stands as it must is left alone: making it again would lock its table against an
    office that works.
    """
    connection = connections[using]
    with connection.cursor() as cursor:
        cursor.execute("SELECT 1 FROM pg_proc WHERE proname = 'audit_keep_authorship'")
        if cursor.fetchone() is None:
            return  # the migration that makes the functions has not run
        there = set(connection.introspection.table_names(cursor))
        standing = _standing(cursor)
        for trigger in triggers():
            said = standing.get((trigger.table, trigger.name))
            if trigger.table in there and said != (trigger.statement, "O"):
                again = trigger.statement.replace("CREATE", "CREATE OR REPLACE", 1)
                cursor.execute(again)
                enable = f"ALTER TABLE {trigger.table} ENABLE TRIGGER {trigger.name}"
                cursor.execute(enable)


def _each(function: str) -> str:
    return f"FOR EACH ROW EXECUTE FUNCTION {function}"


def _standing(cursor: Any) -> dict[tuple[str, str], tuple[str, str]]:
    """Return the triggers that are there: how they are made, and "O" where they are switched on."""
    cursor.execute(
        "SELECT relname, tgname, pg_get_triggerdef(t.oid, true), tgenabled::text"
        " FROM pg_trigger t JOIN pg_class c ON c.oid = tgrelid"
        " JOIN pg_namespace n ON n.oid = relnamespace"
        " WHERE NOT tgisinternal AND nspname = 'public'"
    )
    return {(table, name): (said, state) for table, name, said, state in cursor.fetchall()}
