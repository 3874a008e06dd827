"""An administrator opens accounts, one after the other, in a browser."""

from __future__ import annotations

from typing import Any

import pytest
from playwright.sync_api import Page, expect

from me_office.accounts.models import Staff
from me_office.accounts.roles import Role
from tests.browser.visitor import barriers_in_both, enter, seen
from tests.builders import make_staff

pytestmark = pytest.mark.django_db(transaction=True)
PASSWORD = "quiet ink on paper"


def test_a_second_account_is_opened_after_the_first_and_finds_nothing_of_it(
    page: Page, live_server: Any
) -> None:
    birch = make_staff(Role.ADMINISTRATOR, name="A. Birch", username="birch")
    birch.set_password(PASSWORD)
    birch.save()
    enter(page, birch, live_server)
    for username, name in (("lind", "E. Lind"), ("pell", "R. Pell")):
        page.goto("/people/new/")
        expect(page.get_by_label("User name")).to_have_value("")
        page.get_by_label("User name").fill(username)
        page.get_by_label("Name as printed").fill(name)
        page.get_by_label("investigator", exact=True).check()
        page.get_by_label("Reason").fill("Begins on Monday")
        page.get_by_label("Your password").fill(PASSWORD)
        page.get_by_role("button", name="Open the account").click()
        expect(page.get_by_role("heading", name=f"Password of {name}")).to_be_visible()
    assert set(Staff.objects.values_list("username", flat=True)) == {"birch", "lind", "pell"}


def test_an_administrator_sees_how_the_office_stands(page: Page, live_server: Any) -> None:
    enter(page, make_staff(Role.ADMINISTRATOR, name="A. Birch"), live_server)
    page.goto("/")
    page.get_by_role("link", name="State of the office").click()
    expect(page.get_by_role("heading", name="Needs attention")).to_be_visible()
    expect(seen(page, "Start it: systemctl start office-worker-quick")).to_be_visible()
    assert barriers_in_both(page, "upkeep/state.html") == []
