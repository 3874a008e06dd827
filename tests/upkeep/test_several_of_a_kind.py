"""Two and three of a kind: rights that lack, roles that may more, administrators, indexes."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from types import SimpleNamespace
from typing import Any

import pytest
from allauth.mfa.models import Authenticator
from celery import signals
from django.db import connection, transaction

from me_office.accounts.models import Staff
from me_office.accounts.roles import Role
from me_office.upkeep import beats
from me_office.upkeep.conditions import Condition, State
from me_office.upkeep.parts import database, people, role
from me_office.upkeep.watching import worst
from tests.builders import make_staff

MORE = ["CREATEROLE", "CREATEDB", "BYPASSRLS", "REPLICATION"]


@contextmanager
def as_the_office(*statements: str) -> Iterator[None]:
    """Run statements as the owner, look as the office, and take it all back."""
    with transaction.atomic(), connection.cursor() as cursor:
        for statement in (*statements, "SET LOCAL ROLE office_app"):
            cursor.execute(statement)
        yield
        transaction.set_rollback(True)


@pytest.mark.django_db
def test_every_power_that_a_role_does_not_need_is_dangerous(application_role_password: str):
    for power in MORE:
        with as_the_office(f"ALTER ROLE office_app {power}"):
            bad = [said for said in role.role() if said.state is not State.RIGHT]
            assert [said.state for said in bad] == [State.DANGER], power
            assert f"NO{power}" in bad[0].to_do
    with as_the_office():
        assert [one.state for one in role.role()] == [State.RIGHT]


@pytest.mark.django_db
def test_several_rights_that_lack_are_named_three_and_the_rest_counted(
    application_role_password: str,
):
    with as_the_office("REVOKE INSERT, UPDATE ON cases_case FROM office_app"):
        (said,) = role.role()
        assert "lacks INSERT on cases_case, UPDATE on cases_case: " in said.says
    with as_the_office(
        "REVOKE SELECT, INSERT, UPDATE ON cases_case, evidence_storedfile FROM office_app",
        "GRANT DELETE, TRUNCATE ON cases_case TO office_app",
    ):
        lacks, may = role.role()
        # The original's table is only added to: nothing is changed there.
        assert "SELECT on cases_case, INSERT on cases_case, UPDATE on cases_case and " in lacks.says
        assert "DELETE on cases_case, TRUNCATE on cases_case." in may.says


@pytest.mark.django_db
def test_each_index_that_was_not_made_to_its_end_is_named():
    with connection.cursor() as cursor:
        cursor.execute(
            "UPDATE pg_index SET indisvalid = false WHERE indexrelid IN"
            " ('cases_case_pkey'::regclass, 'upkeep_standing_pkey'::regclass)"
        )
    said = list(database.indexes())
    assert [one.state for one in said] == [State.WRONG] * 2
    assert [one.to_do.split()[-1] for one in said] == ["cases_case_pkey;", "upkeep_standing_pkey;"]


@pytest.mark.django_db
def test_only_the_administrators_who_are_not_safe_are_named(settings: Any):
    settings.REQUIRE_SECOND_FACTOR = True
    for name, factor, first_password in (
        ("alder", True, False), ("birch", False, False), ("cedar", True, True),
    ):  # fmt: skip
        one = make_staff(Role.ADMINISTRATOR, username=name)
        Staff.objects.filter(pk=one.pk).update(must_change_password=first_password)
        if factor:
            Authenticator.objects.create(user=one, type=Authenticator.Type.TOTP, data={})
    said = list(people.administrator())
    assert [(one.state, one.says.split()[0]) for one in said] == [
        (State.DANGER, "birch"), (State.DANGER, "cedar"),
    ]  # fmt: skip
    settings.REQUIRE_SECOND_FACTOR = False
    (said_now,) = people.administrator()
    assert said_now.state is State.RIGHT and said_now.says.endswith("alder, birch, cedar.")


def test_what_is_right_is_not_said_beside_what_is_wrong():
    right, bad = Condition("disk", State.RIGHT, "Room."), Condition("disk", State.WRONG, "Full.")
    for both in ([right, bad], [bad, right]):
        assert [one.says for one in worst(both)] == ["Full."]
    assert [one.says for one in worst([right, right])] == ["Room. Room."]


@pytest.fixture
def heart(monkeypatch: pytest.MonkeyPatch) -> Iterator[list[str]]:
    """The heart of a process without a database; what it did, in order."""
    done: list[str] = []
    monkeypatch.setattr(beats, "_heart", beats._Heart())
    monkeypatch.setattr(beats, "note", lambda *names: done.extend(names))
    monkeypatch.setattr(beats, "connection", SimpleNamespace(close=lambda: done.append("closed")))
    yield done
    beats._heart.stop()


@pytest.mark.parametrize("started", [signals.beat_init, signals.beat_embedded_init])
def test_beat_lives_alone_or_within_a_worker_and_keeps_no_connection(
    heart: list[str], started: Any
):
    started.send(sender=None)
    thread = beats._heart.thread
    assert thread is not None
    started.send(sender=None)
    assert beats._heart.thread is thread  # one heart a process
    beats._heart.stop()
    thread.join(10)
    assert heart == ["beat", "closed"]
