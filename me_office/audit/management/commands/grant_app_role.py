"""Give the role that web and worker connect as its rights, and no more than it needs."""

from __future__ import annotations

import os
from argparse import ArgumentParser
from typing import Any

from django.apps import apps
from django.core.management.base import BaseCommand, CommandError
from django.db import ProgrammingError, connection, transaction
from django.db.models import Model
from psycopg import sql
from psycopg.errors import InsufficientPrivilege

READ = "SELECT"
ADD = "SELECT, INSERT"
RECORD = "SELECT, INSERT, UPDATE"
ANYTHING = "SELECT, INSERT, UPDATE, DELETE"
# Tables of models that are not kept for ever, of other apps, and the exceptions. A table that is
# neither here nor of a model that is kept is closed.
RIGHTS = {
    # Written by triggers and functions alone, with their owner's rights.
    "audit_auditevent": READ,
    "audit_accessevent": READ,
    "custody_itemstanding": READ,
    "django_migrations": READ,
    "evidence_officeidentity": READ,
    # What roles there are and what they permit comes with the migrations. One column may be locked
    # by whoever changes accounts, so that they wait for each other.
    "auth_group": f"{READ}, UPDATE (id)",
    "auth_group_permissions": READ,
    "auth_permission": READ,
    "django_content_type": READ,
    "accounts_staff_user_permissions": READ,
    "guardian_groupobjectpermission": READ,
    # Written again and again, never deleted: what a request was answered with, how far a job is,
    # the last number given to a case, how much of a card has come.
    "audit_requestanswer": RECORD,
    "jobs_jobprogress": RECORD,
    "upkeep_heartbeat": RECORD,
    "upkeep_standing": RECORD,
    "cases_casenumbercounter": RECORD,
    "evidence_photographupload": RECORD,
    "measures_dailymailsent": RECORD,
    "letters_lettermail": RECORD,
    # Counts of wrong passwords, cleared when no limit remembers them.
    "accounts_trycount": ANYTHING,
    # Roles and teams are given and taken, each time with an event.
    "accounts_staff_groups": "SELECT, INSERT, DELETE",
    "guardian_userobjectpermission": "SELECT, INSERT, DELETE",
    "mfa_authenticator": ANYTHING,
    # A private key is kept and, when its certificate is revoked, removed; never exchanged.
    "signatures_signingkey": "SELECT, INSERT, DELETE",
    # The sign-in library's own.
    "account_emailaddress": ANYTHING,
    "account_emailconfirmation": ANYTHING,
    "django_session": ANYTHING,
}


def rights_on(table: str, model: type[Model] | None) -> str:
    """Return what the application role may do with one table; nothing where nobody said.

    A record is voided, with a reason, and stays: no model that is kept for ever is open to DELETE,
    whatever app it comes with, and one that is only added to is not open to UPDATE either.
    """
    if table in RIGHTS:
        return RIGHTS[table]
    if getattr(model, "append_only", False):
        return ADD
    return RECORD if getattr(model, "kept_for_ever", False) else ""


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
            self._close_later_tables()
        for table in self.closed:
            self.stderr.write(f"{table} is closed to {role}: nobody said what it may do there.")
        if options["verbosity"]:
            self.stdout.write(f"Granted {role} its rights.")

    def _run(self, statement: str, **parts: sql.Composable) -> None:
        self.cursor.execute(sql.SQL(statement).format(role=self.role, **parts))

    def _as_superuser(self, statement: str, otherwise: str, **parts: sql.Composable) -> None:
        """Run what a plain owner may not; say which statement somebody else has to run once."""
        try:
            with transaction.atomic():
                self._run(statement, **parts)
        except ProgrammingError as error:
            if not isinstance(error.__cause__, InsufficientPrivilege):
                raise
            raise CommandError(
                f"The owner of the tables {otherwise}. Then run this again."
            ) from None

    def _make_role(self, role: str, password: str | None) -> None:
        self.cursor.execute("SELECT 1 FROM pg_roles WHERE rolname = %s", [role])
        if self.cursor.fetchone() is None:
            if not password:
                raise CommandError(
                    f"There is no role {role}: set ME_APP_PASSWORD to make it here, or let a "
                    f"superuser run once: CREATE ROLE {role} LOGIN; and then \\password {role}"
                )
            self._as_superuser(
                "CREATE ROLE {role} LOGIN",
                f"may not make roles. Let a superuser run once: CREATE ROLE {role} LOGIN; and then "
                f"\\password {role}",
            )
        if password:
            # Hashed here, so that the password is in no server log.
            plain = connection.connection.pgconn
            hashed = plain.encrypt_password(password.encode(), role.encode(), b"scram-sha-256")
            self._as_superuser(
                "ALTER ROLE {role} PASSWORD {hashed}",
                f"may not set passwords. Let a superuser run once: \\password {role} and leave "
                "ME_APP_PASSWORD out here",
                hashed=sql.Literal(hashed.decode()),
            )
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
        of_table = {
            model._meta.db_table: model
            for model in apps.get_models(include_auto_created=True)
            if model._meta.managed and not model._meta.proxy
        }
        self.closed: list[str] = []
        for table in connection.introspection.table_names(self.cursor):
            said = rights_on(table, of_table.get(table))
            if not said:
                self.closed.append(table)
                continue
            rights = sql.SQL(said)
            self._run(
                "GRANT {rights} ON {table} TO {role}", rights=rights, table=sql.Identifier(table)
            )

    def _close_later_tables(self) -> None:
        """A table that a migration adds is closed until this command, run after it, opens it."""
        for what in ("TABLES", "SEQUENCES"):
            self._run(
                "ALTER DEFAULT PRIVILEGES IN SCHEMA public REVOKE ALL ON {what} FROM {role}",
                what=sql.SQL(what),
            )
