"""Give the role that web and worker connect as its rights, and no more than it needs."""

from __future__ import annotations

import os
from argparse import ArgumentParser
from typing import Any

from django.apps import apps
from django.core.management.base import BaseCommand, CommandError
from django.db import connection, transaction
from psycopg import sql

# Nothing in these is ever deleted: a record is voided, with a reason, and stays.
KEPT = frozenset(
    {
        *("cases", "certification", "review", "court", "packets"),
        *("exhibits", "findings", "computing", "evidence", "custody", "measuring", "lacking"),
        *("jobs", "audit"),
    }
)
# Written by triggers alone, with their owner's rights.
READ_ONLY = frozenset({"audit_auditevent"})
# Written by the application, never changed afterwards.
APPEND_ONLY = frozenset({"audit_accessevent"})
# A member of staff leaves by being made inactive: what they did keeps its name.
NEVER_DELETED = frozenset({"accounts_staff"})


def rights_on(table: str, app_label: str | None) -> str:
    """Return what the application role may do with one table."""
    if table in READ_ONLY or table == "django_migrations":
        return "SELECT"
    if table in APPEND_ONLY:
        return "SELECT, INSERT"
    if app_label in KEPT or table in NEVER_DELETED:
        return "SELECT, INSERT, UPDATE"
    return "SELECT, INSERT, UPDATE, DELETE"


class Command(BaseCommand):
    """Run after every migrate, as the role that owns the tables. May be run again at any time."""

    # Never on a command line, where every account of the machine can read it.
    stealth_options = ("password",)
    help = (
        "Gives the application's database role its rights: no ownership, no superuser, no "
        "DELETE on records, no change of the audit trail. Makes the role if it does not exist; "
        "sets its password from ME_APP_PASSWORD if that is set."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument(
            "--role",
            default=os.environ.get("ME_APP_ROLE", "office_app"),
            help="Name of the role (default: ME_APP_ROLE, else office_app).",
        )

    def handle(self, *args: Any, role: str, password: str | None = None, **options: Any) -> None:
        password = password or os.environ.get("ME_APP_PASSWORD")
        with transaction.atomic(), connection.cursor() as cursor:
            self.cursor = cursor
            self.role = sql.Identifier(role)
            cursor.execute("SELECT current_user")
            if cursor.fetchone() == (role,):
                raise CommandError(f"Run this as the owner of the tables, not as {role}.")
            self._make_role(role, password)
            self._grant_tables()
            self._grant_later_tables()
        if options["verbosity"]:
            self.stdout.write(f"Granted {role} its rights.")

    def _run(self, statement: str, **parts: sql.Composable) -> None:
        self.cursor.execute(sql.SQL(statement).format(role=self.role, **parts))

    def _make_role(self, role: str, password: str | None) -> None:
        self.cursor.execute("SELECT 1 FROM pg_roles WHERE rolname = %s", [role])
        if self.cursor.fetchone() is None:
            if not password:
                raise CommandError(f"There is no role {role}: set ME_APP_PASSWORD to make it.")
            self._run("CREATE ROLE {role} LOGIN")
        if password:
            # Hashed here, so that the password is in no server log.
            plain = connection.connection.pgconn
            hashed = plain.encrypt_password(password.encode(), role.encode(), b"scram-sha-256")
            self._run("ALTER ROLE {role} PASSWORD {hashed}", hashed=sql.Literal(hashed.decode()))

        self.cursor.execute(
            "SELECT 1 FROM pg_roles WHERE rolname = %s AND (rolsuper OR rolbypassrls"
            " OR rolcreaterole OR pg_has_role(oid, current_user, 'MEMBER'))",
            [role],
        )
        if self.cursor.fetchone():
            raise CommandError(f"{role} may do more than the application's role is meant to.")

    def _grant_tables(self) -> None:
        self._run("REVOKE ALL ON ALL TABLES IN SCHEMA public FROM {role}")
        self._run("REVOKE CREATE ON SCHEMA public FROM {role}, PUBLIC")
        self._run("GRANT USAGE ON SCHEMA public TO {role}")
        self._run("GRANT USAGE, SELECT ON ALL SEQUENCES IN SCHEMA public TO {role}")
        labels = {
            model._meta.db_table: model._meta.app_label
            for model in apps.get_models(include_auto_created=True)
        }
        for table in connection.introspection.table_names(self.cursor):
            rights = sql.SQL(rights_on(table, labels.get(table)))  # type: ignore[arg-type]
            self._run(
                "GRANT {rights} ON {table} TO {role}", rights=rights, table=sql.Identifier(table)
            )

    def _grant_later_tables(self) -> None:
        """Tables that a migration adds are usable at once, with the least that works for records.

        The next run of this command sees to the exceptions.
        """
        self._run(
            "ALTER DEFAULT PRIVILEGES IN SCHEMA public"
            " GRANT SELECT, INSERT, UPDATE ON TABLES TO {role}"
        )
        self._run(
            "ALTER DEFAULT PRIVILEGES IN SCHEMA public GRANT USAGE, SELECT ON SEQUENCES TO {role}"
        )
