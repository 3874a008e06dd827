"""What the role that web and worker connect as can and can't do, tried by raw SQL as that role."""

from __future__ import annotations

from io import StringIO
from pathlib import Path

import psycopg
import pytest
from django.apps import apps
from django.core.management import CommandError, call_command
from django.db import connection, transaction
from psycopg import sql

from me_office.accounts.models import Staff
from me_office.audit.guard import tables_that
from me_office.audit.management.commands.grant_app_role import RIGHTS, rights_on

ROOT = Path(__file__).resolve().parents[2]
# The office's own tables from which rows may go: roles given, counts of wrong passwords, keys that
# are sealed (with their certificate, when it is revoked).
NOT_KEPT = {"accounts_staff_groups", "accounts_trycount", "signatures_signingkey"}
# Recorded for ever, in whatever app: not one of these may be open to DELETE.
KEPT_TABLES = sorted(
    model._meta.db_table
    for model in apps.get_models(include_auto_created=True)
    if Path(apps.get_app_config(model._meta.app_label).path).is_relative_to(ROOT)
    and Path(apps.get_app_config(model._meta.app_label).path).relative_to(ROOT).parts[0][0] != "."
    and model._meta.managed
    and not model._meta.proxy
    and model._meta.db_table not in NOT_KEPT
)

REFUSED = {
    "change an event": "UPDATE audit_auditevent SET reason = 'nothing to see'",
    "remove events": "DELETE FROM audit_auditevent",
    "empty the trail": "TRUNCATE audit_auditevent",
    "invent an event": (
        'INSERT INTO audit_auditevent (at, transaction, "table", operation, record_id, changes,'
        " act, reason, actor_name, actor_roles, source, request_id, address, database_role)"
        " VALUES (now(), 1, 'cases_case', 'update', '1', '{}', '', '', '', '', '', '', '', '')"
    ),
    "change who looked": "UPDATE audit_accessevent SET actor_name = 'nobody'",
    "remove who looked": "DELETE FROM audit_accessevent",
    "delete a case": "DELETE FROM cases_case",
    "empty the cases": "TRUNCATE cases_case CASCADE",
    "delete staff": "DELETE FROM accounts_staff",
    "turn triggers off": "ALTER TABLE cases_case DISABLE TRIGGER ALL",
    "drop a trigger": "DROP TRIGGER audit_change ON cases_case",
    "replace the function": (
        "CREATE OR REPLACE FUNCTION audit_change() RETURNS trigger LANGUAGE plpgsql"
        " AS 'BEGIN RETURN NULL; END'"
    ),
    "pass as a replica": "SET session_replication_role = replica",
    "become the owner": "SET ROLE office_owner",
    "make a table": "CREATE TABLE aside (words text)",
    "drop a table": "DROP TABLE cases_case CASCADE",
    "fake a migration": "INSERT INTO django_migrations (app, name, applied) VALUES ('a','b',now())",
}


@pytest.mark.parametrize("statement", REFUSED.values(), ids=REFUSED.keys())
def test_the_application_role_is_refused(
    application_role: psycopg.Connection, statement: str
) -> None:
    with pytest.raises(psycopg.errors.InsufficientPrivilege):
        application_role.execute(statement)


@pytest.mark.django_db(transaction=True)
def test_the_trail_can_be_read_and_is_not_empty_after_a_change(
    application_role: psycopg.Connection,
) -> None:
    Staff.objects.create(username="vasko", display_name="I. Vasko")
    found = application_role.execute("SELECT count(*) FROM audit_auditevent").fetchone()
    assert found[0] > 0


@pytest.mark.django_db(transaction=True)
def test_a_raw_update_by_the_application_role_leaves_an_event(
    application_role: psycopg.Connection,
) -> None:
    person = Staff.objects.create(username="vasko", display_name="I. Vasko")
    application_role.execute(
        "UPDATE accounts_staff SET display_name = 'Ida Vasko' WHERE id = %s", [person.pk]
    )
    event = application_role.execute(
        "SELECT operation, changes -> 'display_name', source, database_role"
        " FROM audit_auditevent WHERE record_id = %s ORDER BY id DESC LIMIT 1",
        [str(person.pk)],
    ).fetchone()
    assert event == ("update", ["I. Vasko", "Ida Vasko"], "database", "office_app")


@pytest.mark.django_db(transaction=True)
def test_a_session_can_be_ended(application_role: psycopg.Connection) -> None:
    application_role.execute(
        "INSERT INTO django_session (session_key, session_data, expire_date)"
        " VALUES ('k', '', now())"
    )
    assert application_role.execute("DELETE FROM django_session").rowcount == 1


@pytest.mark.django_db
def test_no_record_of_the_office_is_open_to_delete(application_role: psycopg.Connection) -> None:
    assert len(KEPT_TABLES) > 70
    with connection.cursor() as cursor:
        cursor.execute(
            "SELECT t FROM unnest(%s::text[]) AS t"
            " WHERE has_table_privilege('office_app', t, 'DELETE')"
            " OR has_table_privilege('office_app', t, 'TRUNCATE')",
            [KEPT_TABLES],
        )
        assert cursor.fetchall() == []


@pytest.mark.django_db(transaction=True)
@pytest.mark.parametrize(
    "statement",
    ["SELECT * FROM later", "INSERT INTO later (words) VALUES ('new')", "DELETE FROM later"],
)
def test_a_table_of_a_later_migration_is_closed_until_somebody_says_what_may_be_done_there(
    application_role: psycopg.Connection, statement: str
) -> None:
    with connection.cursor() as cursor:
        cursor.execute("CREATE TABLE later (id bigserial, words text)")
    try:
        with pytest.raises(psycopg.errors.InsufficientPrivilege):
            application_role.execute(statement)
        call_command("grant_app_role", role="office_app", verbosity=0, stderr=StringIO())
        with pytest.raises(psycopg.errors.InsufficientPrivilege):
            application_role.execute(statement)
    finally:
        with connection.cursor() as cursor:
            cursor.execute("DROP TABLE later")


@pytest.mark.django_db
@pytest.mark.parametrize("kind", ["TABLE", "SEQUENCE"])
def test_what_was_once_open_by_default_is_closed_for_what_comes_later(
    application_role_password: str, kind: str
) -> None:
    def is_open_once_made() -> bool:
        with transaction.atomic(), connection.cursor() as cursor:
            cursor.execute(f"CREATE {kind} later" + (" (words text)" if kind == "TABLE" else ""))
            cursor.execute(f"SELECT has_{kind}_privilege('office_app', 'later', 'SELECT')")
            [(found,)] = cursor.fetchall()
            cursor.execute(f"DROP {kind} later")
        return found

    with connection.cursor() as cursor:
        cursor.execute(
            f"ALTER DEFAULT PRIVILEGES IN SCHEMA public GRANT ALL ON {kind}S TO office_app"
        )
    assert is_open_once_made()
    call_command("grant_app_role", role="office_app", verbosity=0)
    assert not is_open_once_made()


@pytest.mark.django_db
def test_every_table_of_the_office_has_its_rights_said() -> None:
    of_table = {model._meta.db_table: model for model in apps.get_models(include_auto_created=True)}
    tables = connection.introspection.table_names()
    closed = [table for table in tables if not rights_on(table, of_table.get(table))]
    assert closed == [], "say in grant_app_role what the application may do there"


@pytest.mark.parametrize(
    ("flags", "rights"),
    [
        ({"watched": True, "kept_for_ever": True}, "SELECT, INSERT, UPDATE"),
        ({"kept_for_ever": True, "append_only": True}, "SELECT, INSERT"),
        ({"append_only": True}, "SELECT, INSERT"),
        ({"watched": True}, ""),
        ({}, ""),
    ],
)
def test_a_table_of_a_new_app_is_never_open_to_delete_and_closed_where_nobody_said(flags, rights):
    assert rights_on("inquests_inquest", type("Inquest", (), flags)) == rights
    assert rights_on("inquests_inquest", None) == ""


@pytest.mark.django_db
def test_rights_that_somebody_gave_by_hand_are_taken_back(application_role_password: str) -> None:
    with connection.cursor() as cursor:
        cursor.execute("GRANT DELETE ON cases_case, audit_auditevent TO office_app")
        call_command("grant_app_role", role="office_app", verbosity=0)
        cursor.execute(
            "SELECT has_table_privilege('office_app', 'cases_case', 'DELETE')"
            " OR has_table_privilege('office_app', 'audit_auditevent', 'DELETE')"
        )
        assert cursor.fetchone() == (False,)


@pytest.mark.django_db
@pytest.mark.parametrize("more", ["SUPERUSER", "BYPASSRLS", "CREATEROLE", "IN ROLE {owner}"])
def test_a_role_that_may_do_more_is_not_taken_as_the_application_role(more: str) -> None:
    with connection.cursor() as cursor:
        owner = sql.Identifier(connection.settings_dict["USER"])
        cursor.execute(sql.SQL(f"CREATE ROLE too_strong {more}").format(owner=owner))
    with pytest.raises(CommandError, match="more than the application's role"):
        call_command("grant_app_role", role="too_strong", verbosity=0)


@pytest.mark.django_db
def test_a_missing_role_without_a_password_is_said_plainly(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.delenv("ME_APP_PASSWORD", raising=False)
    with pytest.raises(CommandError, match="set ME_APP_PASSWORD"):
        call_command("grant_app_role", role="office_unknown", verbosity=0)


def test_every_table_that_is_kept_for_ever_is_among_those_closed_to_delete() -> None:
    kept = {*tables_that("kept_for_ever"), *tables_that("append_only")}
    open_to_delete = {table for table, said in RIGHTS.items() if "DELETE" in said}
    assert kept <= set(KEPT_TABLES)
    assert not kept & open_to_delete
