"""No two accounts print one name: refused beside the field, and by the database itself."""

from __future__ import annotations

from importlib import import_module
from types import SimpleNamespace
from typing import Any

import pytest
from django.db import IntegrityError, connection, transaction
from django.test import Client
from django.urls import reverse

from me_office.accounts import actions
from me_office.accounts.models import Staff
from me_office.accounts.roles import Role
from me_office.audit.errors import Refused
from me_office.audit.ids import new_id
from me_office.audit.models import AuditEvent
from tests.builders import PASSWORD, make_staff, with_password

pytestmark = pytest.mark.django_db
migration = import_module("me_office.accounts.migrations.0005_one_printed_name_for_one_account")


@pytest.fixture
def birch() -> Staff:
    return with_password(make_staff(Role.ADMINISTRATOR, name="A. Birch"))


def open_account(birch: Staff, name: str, username: str = "other") -> None:
    entry = {"username": username, "display_name": name, "roles": [Role.INVESTIGATOR]}
    actions.open_account(
        birch, record_id=new_id(), entry=entry, password="tavo-miru", reason="New here."
    )


SAME = [
    ("I. Vasko", "I. Vasko"),
    ("I. Vasko", "i. vasko"),
    ("I. Vasko", "I.Vasko"),
    ("I. Vasko", "  I.  Vasko "),
    ("I. Vasko", "I Vasko"),
    ("I. Vasko", "I. Va\u200fsko"),
    ("René Köhl", "Rene Kohl"),
    ("RENÉ KÖHL", "rene\u0301 ko\u0308hl"),
    ("Å. Brøgger-Łęcki", "a brogger lecki"),
    ("Strauß", "STRAUSS"),
    ("O'Hara", "O’Hara"),
    ("Иванова", "ИВАНОВА"),
]
OTHER = [
    ("I. Vasko", "I. B. Vasko"),
    ("I. Vasko", "L. Vasko"),
    ("I. Vasko", "I. Vaskov"),
    ("Иванова", "Петрова"),
    ("李", "王"),
    ("Birch 1", "Birch 2"),
]


@pytest.mark.parametrize(("there", "new"), SAME)
def test_a_name_that_prints_like_another_is_refused(birch: Staff, there: str, new: str) -> None:
    make_staff(name=there)
    with pytest.raises(Refused, match="Someone in this office has this printed name") as refused:
        open_account(birch, new)
    assert refused.value.field == "display_name"
    assert there in refused.value.message


@pytest.mark.parametrize(("there", "new"), OTHER)
def test_a_name_that_can_be_told_apart_is_taken(birch: Staff, there: str, new: str) -> None:
    make_staff(name=there)
    open_account(birch, new)
    assert Staff.objects.get(username="other").display_name == new


def test_an_account_is_not_renamed_to_another_s_name(birch: Staff) -> None:
    make_staff(name="I. Vasko")
    lind = make_staff(Role.INVESTIGATOR, name="E. Lind")
    rename = {"staff_id": lind.pk, "version": 1, "reason": "Married."}
    with pytest.raises(Refused) as refused:
        actions.change_account(
            birch, **rename, entry={"display_name": "i vasko", "roles": [Role.INVESTIGATOR]}
        )
    assert refused.value.field == "display_name"
    # Its own name, otherwise written, is no other's.
    actions.change_account(
        birch, **rename, entry={"display_name": "E. LIND", "roles": [Role.INVESTIGATOR]}
    )


def test_a_closed_account_keeps_its_name(birch: Staff) -> None:
    make_staff(name="I. Vasko", is_active=False)
    with pytest.raises(Refused, match="A closed account has this printed name"):
        open_account(birch, "I. Vasko")


def test_the_page_and_the_api_say_it_beside_the_field(birch: Staff, settings: Any) -> None:
    make_staff(name="I. Vasko")
    visitor = Client()
    visitor.force_login(birch)
    sent = {
        "username": "other", "display_name": "i. vaskó", "roles": ["investigator"],
        "reason": "New here.", "own_password": PASSWORD, "record_id": str(new_id()),
    }  # fmt: skip
    page = visitor.post(reverse("people:open"), sent)
    assert page.status_code == 422
    assert "has this printed name (I. Vasko)" in page.context["form"].errors["display_name"][0]
    said = {**sent, "id": str(new_id())}
    answer = visitor.post("/api/people/", said, content_type="application/json")
    assert (answer.status_code, answer.json()["field"]) == (422, "display_name")


def test_the_database_refuses_it_by_itself() -> None:
    make_staff(name="I. Vasko")
    other = make_staff(name="E. Lind")
    refused = pytest.raises(IntegrityError, match="printed_name_once")
    with refused, transaction.atomic(), connection.cursor() as cursor:
        cursor.execute(
            "UPDATE accounts_staff SET display_name = 'i VASKO' WHERE id = %s", [other.pk]
        )
    make_staff(name="")
    Staff.objects.filter(pk=other.pk).update(display_name="")


def test_accounts_of_one_name_are_told_apart_when_the_rule_comes() -> None:
    with connection.cursor() as cursor:
        cursor.execute("DROP INDEX staff_printed_name_once")
    names = {
        "vasko": "I. Vasko", "vasko2": "i. vasko", "vasko-2": "I. Vasko", "lind": "E. Lind",
        "long": "Q" * 120, "long2": "Q" * 120, "none": "", "none2": "",
    }  # fmt: skip
    for username, name in names.items():
        make_staff(username=username, name="-").save()
        Staff.objects.filter(username=username).update(display_name=name)
    migration.tell_apart(None, SimpleNamespace(connection=connection))
    told = dict(Staff.objects.values_list("username", "display_name"))
    assert told == {
        **names, "vasko2": "i. vasko (vasko2)", "vasko-2": "I. Vasko (vasko-2 2)",
        "long2": "Q" * 112 + " (long2)",
    }  # fmt: skip
    keys = list(Staff.objects.exclude(name_key="").values_list("name_key", flat=True))
    assert len(keys) == len(set(keys)) == 6
    event = AuditEvent.objects.filter(act="tell_equal_names_apart").first()
    assert event.reason == "Two accounts carried one printed name."
