"""What waits and what is measured, as a supervisor finds it: no barriers, light and dark."""

from __future__ import annotations

import re

import pytest
from playwright.sync_api import Page, expect

from me_office.accounts.roles import Role
from tests.browser.visitor import barriers, barriers_in_both, enter
from tests.builders import make_staff
from tests.measures.builders import examined_case, pending, reported, signed

pytestmark = pytest.mark.django_db(transaction=True)


def test_from_a_number_to_its_cases(page: Page, live_server):
    boss = make_staff(Role.SUPERVISOR, name="M. Thorne")
    vasko = make_staff(Role.PATHOLOGIST, name="I. Vasko")
    late = examined_case(vasko, 120, family_name="Marlow")
    reported(late, vasko, days=3)
    pending(late, vasko, 40)
    signed(examined_case(vasko, 60), 20)
    enter(page, boss, live_server)
    page.goto("/")
    page.get_by_role("link", name="What is waiting").click()
    assert barriers_in_both(page, "measures/waiting.html") == []
    page.get_by_role("link", name=re.compile(r"^1 ?, report being written, I\. Vasko")).click()
    page.get_by_role("heading", name="Report being written, I. Vasko: 1").wait_for()
    page.get_by_role("link", name="Measures").click()
    expect(page.get_by_role("img")).to_have_count(3)
    assert barriers_in_both(page, "measures/measures.html") == []
    page.get_by_role(
        "link", name="1 cases, From examination to signed report, not signed yet"
    ).click()
    page.get_by_role("link", name="Marlow").wait_for()
    assert barriers(page, "measures/cases.html") == []
    page.goto("/account/daily-mail/")
    page.get_by_label("Send me what is waiting, once a day").check()
    page.get_by_role("button", name="Save").click()
    page.get_by_role("alert").get_by_text("Give the address to which it is sent.").wait_for()
    assert barriers(page, "measures/daily_mail.html") == []
