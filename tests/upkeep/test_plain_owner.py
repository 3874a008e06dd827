"""An owner of the tables who may make no roles is told what a superuser has to run once."""

from __future__ import annotations

import pytest
from django.core.management import CommandError, call_command
from django.db import connection, transaction


@pytest.fixture
def plain_owner(db: None, application_role_password: str) -> None:
    """Own every table, as a role that may do nothing else."""
    with connection.cursor() as cursor:
        cursor.execute("CREATE ROLE county NOLOGIN; ALTER SCHEMA public OWNER TO county")
        cursor.execute(
            "SELECT format('ALTER TABLE public.%I OWNER TO county', tablename)"
            " FROM pg_tables WHERE schemaname = 'public'"
        )
        cursor.execute("; ".join(statement for (statement,) in cursor.fetchall()))
        cursor.execute("SET LOCAL ROLE county")


def refused(**options: str) -> str:
    with pytest.raises(CommandError) as error, transaction.atomic():
        call_command("grant_app_role", verbosity=0, **options)
    return str(error.value)


def test_the_statement_that_makes_the_role_is_said(plain_owner: None, monkeypatch):
    assert "CREATE ROLE office_new LOGIN;" in refused(role="office_new", password="swordfish")
    assert "swordfish" not in refused(role="office_new", password="swordfish")
    monkeypatch.delenv("ME_APP_PASSWORD", raising=False)
    assert "CREATE ROLE office_new LOGIN;" in refused(role="office_new")


def test_who_may_set_no_password_is_told_how_it_is_set(plain_owner: None):
    said = refused(role="office_app", password="swordfish")
    assert r"\password office_app" in said and "swordfish" not in said


def test_a_plain_owner_grants_the_rights_of_a_role_that_is_there(plain_owner: None, monkeypatch):
    monkeypatch.delenv("ME_APP_PASSWORD", raising=False)
    with connection.cursor() as cursor:
        cursor.execute("REVOKE ALL ON cases_case FROM office_app")
        call_command("grant_app_role", role="office_app", verbosity=0)
        cursor.execute("SELECT has_table_privilege('office_app', 'cases_case', 'INSERT')")
        assert cursor.fetchone() == (True,)
