"""What is wrong in the office waits for its administrators, on the first page."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.test import Client
from django.utils import timezone

from me_office.accounts.roles import Role
from me_office.upkeep import steps, watching
from me_office.upkeep.conditions import Condition, State
from me_office.upkeep.models import Standing
from tests.builders import make_staff

pytestmark = pytest.mark.django_db
FOUND = (
    ("mail", State.DANGER, "It does not answer."),
    ("beat", State.WRONG, "It is silent."),
    ("clock", State.RIGHT, "They agree."),
    ("what an earlier version looked at", State.WRONG, "It is gone."),
)


def looked() -> None:
    watching.keep(Condition(name, state, says) for name, state, says in FOUND)


def first_page(*roles: Role) -> str:
    client = Client()
    client.force_login(make_staff(*roles))
    return client.get("/").content.decode()


def test_what_was_found_twice_waits_for_an_administrator_the_wrong_before_the_dangerous():
    looked()
    assert "Needs attention in the office" not in first_page(Role.ADMINISTRATOR)
    looked()
    page = first_page(Role.ADMINISTRATOR)
    assert "Two things are waiting for you." in page
    assert page.index("It is silent.") < page.index("It does not answer.")
    assert 'href="/office/">Beat<' in page and "Clock" not in page and "It is gone." not in page
    assert "It is silent." not in first_page(Role.RECORDS_CLERK)


def test_where_nobody_looks_any_more_that_alone_is_what_waits():
    for _ in range(2):
        looked()
    boss, last = make_staff(Role.ADMINISTRATOR), timezone.now()
    Standing.objects.update(looked_at=last)
    in_time = steps._wrong(boss, last + steps.SILENT_AFTER)
    assert [one.title for one in in_time] == ["Beat", "Mail"]
    (late,) = steps._wrong(boss, last + steps.SILENT_AFTER + timedelta(microseconds=1))
    assert (late.number, late.detail) == ("not seen", steps.NOT_LOOKED_AT)
