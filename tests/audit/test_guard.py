"""Migrating again leaves a live office alone, and mends a trigger that is not as it must be."""

from __future__ import annotations

import pytest
from django.apps import apps
from django.db import connection

from me_office.audit import sql_files
from me_office.audit.guard import ALSO_WATCHED, guard_tables, tables_that, triggers
from me_office.audit.triggers import there

pytestmark = pytest.mark.django_db

STANDING = (
    "SELECT c.relname || ' ' || t.tgname, t.oid, t.xmin::text, t.tgenabled::text"
    " FROM pg_trigger t JOIN pg_class c ON c.oid = tgrelid WHERE NOT tgisinternal"
)
LOCKS = (
    "SELECT relation::regclass::text, mode FROM pg_locks"
    " WHERE pid = pg_backend_pid() AND locktype = 'relation' AND mode <> 'AccessShareLock'"
    " AND relation::regclass::text = ANY (%s)"
)


def standing() -> dict[str, tuple[str, ...]]:
    with connection.cursor() as cursor:
        cursor.execute(STANDING)
        return {row[0]: row[1:] for row in cursor.fetchall()}


def locks() -> list[tuple[str, str]]:
    with connection.cursor() as cursor:
        cursor.execute(LOCKS, [tables_that("watched")])
        return cursor.fetchall()


def test_nothing_is_made_again_and_no_table_is_locked_where_all_stands():
    before = standing()
    assert len(before) > 150
    guard_tables()
    assert standing() == before
    assert locks() == []


@pytest.mark.parametrize(
    "harm",
    [
        "DROP TRIGGER audit_change ON cases_medication",
        "ALTER TABLE cases_medication DISABLE TRIGGER audit_change",
        "CREATE OR REPLACE TRIGGER audit_change AFTER INSERT ON cases_medication"
        " FOR EACH ROW EXECUTE FUNCTION audit_change()",
        "CREATE OR REPLACE TRIGGER audit_change AFTER INSERT OR DELETE OR UPDATE"
        " ON cases_medication FOR EACH STATEMENT EXECUTE FUNCTION audit_refuse()",
    ],
)
def test_the_one_that_was_harmed_is_made_again_and_no_other(harm: str):
    before = standing()
    with connection.cursor() as cursor:
        cursor.execute(harm)
    guard_tables()
    after = standing()
    assert {name for name in after if after[name] != before[name]} <= {
        "cases_medication audit_change"
    }
    assert after["cases_medication audit_change"][-1] == "O"
    wanted = next(
        one.statement
        for one in triggers()
        if (one.table, one.name) == ("cases_medication", "audit_change")
    )
    with connection.cursor() as cursor:
        cursor.execute(
            "SELECT pg_get_triggerdef(oid, true) FROM pg_trigger"
            " WHERE tgname = 'audit_change' AND tgrelid = 'cases_medication'::regclass"
        )
        assert cursor.fetchone() == (wanted,)


def functions_there() -> dict[str, tuple[str, str]]:
    """How each function of the trail is made, and a mark that changes when it is made again."""
    with connection.cursor() as cursor:
        cursor.execute(
            "SELECT proname, pg_get_functiondef(oid), xmin::text FROM pg_proc"
            " WHERE pronamespace = 'public'::regnamespace AND proname = ANY (%s)",
            [sql_files.function_names()],
        )
        return {row[0]: row[1:] for row in cursor.fetchall()}


def test_the_functions_that_run_are_those_of_the_files():
    assert {name: made for name, (made, _) in functions_there().items()} == {
        name: sql_files.function(name) for name in sql_files.function_names()
    }
    assert len(sql_files.function_names()) == 8


def test_the_triggers_that_no_model_asks_for_are_those_of_the_file():
    made, state = there(connection)["audit_requestanswer", "answer_once"]
    assert (made, state) == (sql_files.trigger("answer_once", "audit_requestanswer"), "O")


@pytest.mark.parametrize(
    "harm",
    [
        "CREATE OR REPLACE FUNCTION audit_refuse() RETURNS trigger LANGUAGE plpgsql"
        " SET search_path = public, pg_temp AS 'BEGIN RETURN NULL; END'",
        "ALTER FUNCTION audit_refuse() SECURITY DEFINER",
        "ALTER FUNCTION audit_refuse() RESET search_path",
    ],
)
def test_a_function_that_is_otherwise_is_made_again_and_no_other(harm: str):
    before = functions_there()
    with connection.cursor() as cursor:
        cursor.execute(harm)
    assert functions_there() != before
    guard_tables()
    after = functions_there()
    assert after["audit_refuse"][0] == sql_files.function("audit_refuse")
    assert {name for name in after if after[name] != before[name]} == {"audit_refuse"}


def test_a_function_whose_migration_has_not_run_is_left_to_it():
    with connection.cursor() as cursor:
        cursor.execute("DROP FUNCTION state_moves CASCADE")
    guard_tables()
    assert "state_moves" not in functions_there()


def test_a_table_whose_migration_has_not_run_is_left_to_it_and_the_others_are_guarded():
    before = standing()
    with connection.cursor() as cursor:
        cursor.execute("DROP TRIGGER audit_change ON cases_medication")
        cursor.execute("ALTER TABLE review_caseclosing RENAME TO not_yet_there")
    guard_tables()
    assert standing().keys() >= {"cases_medication audit_change", "not_yet_there audit_change"}
    assert len(standing()) == len(before)


def test_only_the_database_calls_what_gives_an_act_its_number():
    with connection.cursor() as cursor:
        cursor.execute("SELECT has_function_privilege('public', 'audit_act_number()', 'EXECUTE')")
        assert cursor.fetchone() == (False,)


def test_no_code_of_the_trail_writes_a_function_or_a_trigger_of_its_own():
    modules = list(sql_files.FOLDER.parent.rglob("*.py"))
    texts = {path.name: path.read_text() for path in modules}
    assert len(texts) > 20
    assert [
        name
        for name, text in texts.items()
        for word in ("EXECUTE FUNCTION", "RETURNS trigger", "$$")
        if word in text
    ] == []


# Of the office's own tables, those whose changes are not written to the trail, each for a reason.
NOT_WATCHED = {
    # The trail itself, answers to keys, counts of tries.
    "audit_auditevent", "audit_accessevent", "audit_requestanswer", "accounts_trycount",
    # Private keys, sealed: what the trail keeps could not be removed with a revoked certificate.
    "signatures_signingkey",
    # Overwritten as work goes on, of no case.
    "jobs_jobprogress", "upkeep_heartbeat", "upkeep_standing", "evidence_photographupload",
    "measures_dailymailsent", "letters_lettermail",
    # Written once, by the database: the application only reads it.
    "evidence_officeidentity",
    # Follow from what is watched: the last number given, who holds an item.
    "cases_casenumbercounter", "custody_itemstanding", "statements_statementpage",
    # Added by whoever opens the address of a delivery, who has no account.
    "answers_opening",
}  # fmt: skip
# Tables of other apps, and between tables, that say who may get in and what they may do there.
OF_RIGHTS = {
    "accounts_staff_groups", "accounts_staff_user_permissions", "auth_group", "auth_permission",
    "auth_group_permissions", "guardian_groupobjectpermission", "guardian_userobjectpermission",
    "mfa_authenticator",
}  # fmt: skip
GUARDS = ("audit_change", "keep_authorship", "never_deleted", "append_only")


def of_the_office() -> set[str]:
    rooms = ("cases", "evidence", "findings", "me_office")
    models = [one for one in apps.get_models() if one.__module__.split(".")[0] in rooms]
    return {one._meta.db_table for one in models if one._meta.managed}


def test_every_table_of_the_office_is_watched_and_kept_but_for_those_named_here():
    assert set(ALSO_WATCHED) == OF_RIGHTS
    assert of_the_office() - set(tables_that("watched")) == NOT_WATCHED
    not_kept = of_the_office() - set(tables_that("kept_for_ever"))
    assert not_kept == NOT_WATCHED - {
        "evidence_officeidentity", "statements_statementpage", "answers_opening",
    }  # fmt: skip
    assert set(tables_that("append_only")) == {
        "audit_auditevent", "audit_accessevent", "evidence_officeidentity",
        "upkeep_restoration", "statements_statementpage",
        "answers_opening", "qualifications_curriculumversion",
    }  # fmt: skip


def test_no_guard_stands_that_the_models_no_longer_ask_for():
    asked = {f"{one.table} {one.name}" for one in triggers()}
    found = {name for name in standing() if name.split()[1] in GUARDS}
    assert found == asked
