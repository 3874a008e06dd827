"""Leave and calendars in a browser: an address is shown once, and no page has a barrier."""

from __future__ import annotations

from datetime import date

import pytest

from cases.calendars.actions import keep_leave
from me_office.accounts.roles import Role
from me_office.audit.ids import new_id
from tests.browser.visitor import barriers, enter, seen
from tests.builders import make_staff

pytestmark = pytest.mark.django_db(transaction=True)


def test_an_address_is_made_and_no_page_has_a_barrier(page, live_server):
    boss = make_staff(Role.SUPERVISOR, name="M. Thorne")
    entry = {"person": boss, "first_on": date(2099, 1, 4), "last_on": date(2099, 1, 8), "why": ""}
    keep_leave(boss, record_id=new_id(), version=0, entry=entry)
    enter(page, boss, live_server)
    page.goto("/leave/")
    assert barriers(page, "calendars/leave.html") == []
    page.goto("/calendars/")
    page.get_by_role("button", name="Make a new address for yours").click()
    seen(page, "It is shown once").wait_for()
    assert barriers(page, "calendars/feeds.html") == []
