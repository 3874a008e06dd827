"""Past the service, by raw SQL as the application's role: refused, or it leaves an event."""

from __future__ import annotations

from typing import Any

import psycopg
import pytest
from allauth.mfa.models import Authenticator
from django.contrib.auth.models import Group, Permission
from django.db import connection

from cases.models import Case, Medication
from evidence.items.models import Item
from me_office.accounts.models import Staff
from me_office.accounts.roles import Role
from me_office.audit.actions import note_access
from me_office.audit.guard import tables_that
from me_office.audit.ids import new_id
from me_office.audit.models import AccessEvent, AuditEvent, RequestAnswer
from tests.builders import make_case, make_staff

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture
def office(transactional_db: None) -> dict[str, Any]:
    """A case with what an attacker would like to change, and the keys to name it by."""
    vasko, other = make_staff(Role.PATHOLOGIST), make_staff(Role.INVESTIGATOR)
    case, elsewhere = make_case(by=vasko), make_case(by=vasko)
    made = {"created_by": vasko, "changed_by": vasko}
    Medication.objects.create(case=case, name="Lisinopril", **made)
    Item.objects.create(case=case, number=1, kind="property", title="Keys", **made)
    Authenticator.objects.create(user=vasko, type="totp", data={"secret": "JBSWY3DPEHPK3PXP"})
    note_access(vasko, case_id=case.pk, what="scene")
    RequestAnswer.objects.create(
        key=new_id(), act="record_scene", ordinal=0, actor=vasko, record_type="none", digest="a"
    )
    RequestAnswer.objects.create(key=new_id(), act="begun", ordinal=0, actor=vasko, digest="a")
    return {
        "vasko": vasko.pk, "other": other.pk, "case": case.pk, "elsewhere": elsewhere.pk,
        "group": Group.objects.get(name=Role.PATHOLOGIST.value).pk,
        "permission": Permission.objects.order_by("pk").first().pk, "new": new_id(),
    }  # fmt: skip


# No right, or a trigger that says no.
REFUSED = {
    "another author": "UPDATE cases_medication SET created_by_id = %(other)s",
    "another moment": "UPDATE cases_medication SET created_at = now() - interval '1 day'",
    "another key": "UPDATE cases_medication SET id = %(new)s",
    "another case": "UPDATE cases_medication SET case_id = %(elsewhere)s",
    "another author among the rest": (
        "UPDATE cases_medication SET name = 'X', version = 2, created_by_id = %(other)s"
    ),
    "who holds an item": "UPDATE custody_itemstanding SET held_by = 'nobody'",
    "that an item stands": "DELETE FROM custody_itemstanding",
    "a look invented": (
        "INSERT INTO audit_accessevent (at, case_id, what, record_id, actor_id, actor_name,"
        " request_id, address, asked) VALUES ('2020-01-01', %(case)s, 'scene', '', %(other)s, 'X',"
        " '', '', '{}')"
    ),
    "a look of nobody": (
        "SELECT audit_note_look(%(new)s, %(case)s, 'scene', '', '', '', NULL, '{}')"
    ),
    "an answer given twice": "UPDATE audit_requestanswer SET record_id = 'x' WHERE ordinal = 0",
    "another digest": "UPDATE audit_requestanswer SET digest = 'b' WHERE act = 'begun'",
    "an answer to another person": (
        "UPDATE audit_requestanswer SET actor_id = %(other)s WHERE act = 'begun'"
    ),
    "answers removed": "DELETE FROM audit_requestanswer",
    "answers cleared too early": "SELECT audit_clear_answers(interval '1 day', 100)",
    "a permission given": (
        "INSERT INTO accounts_staff_user_permissions (staff_id, permission_id)"
        " VALUES (%(vasko)s, %(permission)s)"
    ),
    "a role's permission given": (
        "INSERT INTO auth_group_permissions (group_id, permission_id)"
        " VALUES (%(group)s, %(permission)s)"
    ),
    "a role renamed": "UPDATE auth_group SET name = 'administrator 2' WHERE id = %(group)s",
    "a role made": "INSERT INTO auth_group (name) VALUES ('owner')",
    "a role removed": "DELETE FROM auth_group",
    "a permission renamed": "UPDATE auth_permission SET codename = 'x'",
    "a role's team": "INSERT INTO guardian_groupobjectpermission (object_pk) VALUES ('x')",
    "a membership moved": "UPDATE accounts_staff_groups SET staff_id = %(other)s",
}


@pytest.mark.parametrize("statement", REFUSED.values(), ids=REFUSED.keys())
def test_it_is_refused(office, application_role: psycopg.Connection, statement: str):
    with pytest.raises(psycopg.errors.InsufficientPrivilege):
        application_role.execute(statement, office)


TEAM = (
    "INSERT INTO guardian_userobjectpermission (object_pk, content_type_id, permission_id, user_id)"
    " SELECT %(case)s, content_type_id, id, %(other)s FROM auth_permission"
    " WHERE codename = 'work_on_case'"
)
# statement: (table of the event, what its changes name)
TOLD = {
    "UPDATE cases_medication SET changed_by_id = %(other)s": ("cases_medication", "changed_by_id"),
    "UPDATE cases_medication SET changed_at = now() - interval '9 days'": (
        "cases_medication",
        "changed_at",
    ),
    "UPDATE cases_medication SET name = 'X', changed_by_id = %(other)s": (
        "cases_medication",
        "changed_by_id",
    ),
    "UPDATE accounts_staff SET password = 'x' WHERE id = %(vasko)s": ("accounts_staff", "password"),
    "UPDATE accounts_staff SET is_superuser = true WHERE id = %(vasko)s": (
        "accounts_staff",
        "is_superuser",
    ),
    "UPDATE mfa_authenticator SET data = '{}'": ("mfa_authenticator", "data"),
    "UPDATE mfa_authenticator SET user_id = %(other)s": ("mfa_authenticator", "user_id"),
    "DELETE FROM mfa_authenticator": ("mfa_authenticator", "type"),
    "INSERT INTO mfa_authenticator (type, data, user_id, created_at)"
    " VALUES ('recovery_codes', '{}', %(vasko)s, now())": ("mfa_authenticator", "type"),
    "DELETE FROM accounts_staff_groups": ("accounts_staff_groups", "group_id"),
    "INSERT INTO accounts_staff_groups (staff_id, group_id) VALUES (%(other)s, %(group)s)": (
        "accounts_staff_groups",
        "group_id",
    ),
    TEAM: ("guardian_userobjectpermission", "object_pk"),
}


@pytest.mark.parametrize(("statement", "told"), TOLD.items(), ids=[one[:56] for one in TOLD])
def test_it_leaves_an_event(office, application_role, statement: str, told: tuple[str, str]):
    last = AuditEvent.objects.order_by("-id").values_list("id", flat=True)[0]
    application_role.execute(statement, office)
    event = AuditEvent.objects.filter(id__gt=last).first()
    assert event is not None
    assert (event.table, event.source, event.database_role) == (told[0], "database", "office_app")
    assert told[1] in event.changes
    assert "JBSWY3DPEHPK3PXP" not in str(event.changes)


def as_vasko(office: dict[str, Any]) -> str:
    return (
        "SELECT set_config('office.audit', jsonb_build_object('act', 'rename_medication',"
        f" 'actor_id', '{office['vasko']}', 'actor_name', 'I. Vasko')::text, true)"
    )


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ("name = 'X', changed_by_id = %(vasko)s, changed_at = now()", {"name"}),
        ("name = 'X', changed_by_id = %(other)s", {"name", "changed_by_id"}),
        ("name = 'X', changed_at = now() - interval '2 hours'", {"name", "changed_at"}),
        ("name = 'X', changed_at = now() + interval '2 hours'", {"name", "changed_at"}),
        ("name = 'X', changed_at = now() - interval '50 minutes'", {"name"}),
        ("changed_at = now()", {"changed_at", "changed_by_id"}),
    ],
)
def test_an_act_says_who_and_when_only_where_the_event_does_not(
    office, application_role, change: str, said: set[str]
):
    Medication.objects.update(changed_by=office["other"])
    last = AuditEvent.objects.order_by("-id").values_list("id", flat=True)[0]
    with application_role.transaction():
        application_role.execute(as_vasko(office))
        change = change.replace("changed_by_id = %(other)s", "changed_by_id = %(other2)s")
        third = make_staff().pk
        last = AuditEvent.objects.order_by("-id").values_list("id", flat=True)[0]
        application_role.execute(
            f"UPDATE cases_medication SET {change}", {**office, "other2": third}
        )
    assert set(AuditEvent.objects.get(id__gt=last).changes) == said


def test_whoever_changes_accounts_may_still_wait_for_each_other(office, application_role):
    found = application_role.execute("SELECT name FROM auth_group FOR NO KEY UPDATE").fetchall()
    assert ("administrator",) in found


def test_a_plain_sign_in_is_no_event(office, application_role):
    last = AuditEvent.objects.order_by("-id").values_list("id", flat=True)[0]
    application_role.execute("UPDATE accounts_staff SET last_login = now()")
    application_role.execute("UPDATE mfa_authenticator SET last_used_at = now()")
    assert not AuditEvent.objects.filter(id__gt=last).exists()


def test_a_look_has_the_databases_time_and_the_accounts_name(office, application_role):
    application_role.execute(
        "SELECT audit_note_look(%(other)s, %(case)s, 'scene', '', '', '', NULL, '{}')", office
    )
    look = AccessEvent.objects.latest("id")
    assert look.actor_name == Staff.objects.get(pk=office["other"]).display_name
    with connection.cursor() as cursor:
        cursor.execute("SELECT clock_timestamp() - %s < interval '1 minute'", [look.at])
        assert cursor.fetchone() == (True,)


def test_the_service_may_fill_in_an_answer_once(office, application_role):
    fill = "UPDATE audit_requestanswer SET record_type = 'none' WHERE act = 'begun'"
    assert application_role.execute(fill).rowcount == 1
    with pytest.raises(psycopg.errors.InsufficientPrivilege):
        application_role.execute(fill)


def test_what_runs_with_the_owners_rights_looks_up_names_in_one_place(application_role):
    found = application_role.execute(
        "SELECT proname, proconfig FROM pg_proc JOIN pg_namespace n ON n.oid = pronamespace"
        " WHERE prosecdef AND nspname = 'public'"
    ).fetchall()
    assert {"audit_change", "audit_note_look", "audit_clear_answers", "custody_keep_standing"} <= {
        name for name, _ in found
    }
    assert [one for one in found if one[1] != ["search_path=public, pg_temp"]] == []


def test_a_table_of_the_same_name_aside_does_not_catch_the_events(office, application_role):
    for table in ("audit_auditevent", "audit_accessevent", "custody_itemstanding"):
        application_role.execute(f"CREATE TEMP TABLE {table} (LIKE public.{table})")
    application_role.execute("SET search_path = pg_temp, public")
    before = AuditEvent.objects.count(), AccessEvent.objects.count()
    application_role.execute("UPDATE cases_medication SET name = 'X'")
    application_role.execute(
        "SELECT audit_note_look(%(other)s, %(case)s, 'scene', '', '', '', NULL, '{}')", office
    )
    assert (AuditEvent.objects.count(), AccessEvent.objects.count()) == tuple(n + 1 for n in before)


def test_every_watched_table_keeps_authorship(transactional_db):
    with connection.cursor() as cursor:
        cursor.execute(
            "SELECT relname, pg_get_triggerdef(t.oid) FROM pg_trigger t"
            " JOIN pg_class c ON c.oid = tgrelid WHERE tgname = 'keep_authorship'"
        )
        there = dict(cursor.fetchall())
    assert set(there) == set(tables_that("watched"))
    for column in ("id", "created_at", "created_by_id"):
        assert f"old.{column} IS DISTINCT FROM new.{column}" in there["cases_case"]
    assert "old.case_id IS DISTINCT FROM new.case_id" in there["cases_medication"]
    assert Case.objects.count() == 0
