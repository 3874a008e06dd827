"""Checks of a case in a browser: the margin comes, their pages have no barriers."""

from __future__ import annotations

import re

import pytest
from django.urls import reverse
from playwright.sync_api import Page, expect

from me_office.accounts.roles import Role
from me_office.audit.ids import new_id
from tests.browser.visitor import barriers, barriers_in_both, enter, seen
from tests.builders import make_case, make_staff
from tests.checking.test_checks import office
from tests.review.test_review import examined, injured

pytestmark = pytest.mark.django_db(transaction=True)


def test_a_case_is_checked_and_a_conflict_is_set_aside(page: Page, live_server):
    boss = make_staff(Role.SUPERVISOR, Role.PATHOLOGIST)
    case = make_case(by=boss)
    place = {"place": "left thigh", "from_midline_cm": -9, "midline": "anterior"}
    injured(case, examined(case, boss), boss, 1, **place)
    office(boss, key="length", entry={"words": "The length of the body"}, record_id=new_id())
    of_case = {"case_id": case.pk}
    enter(page, boss, live_server)
    page.goto(live_server.url + reverse("findings:examination", kwargs=of_case))
    expect(seen(page, "1 needed before review.")).to_be_visible()
    page.get_by_role("link", name="All checks of this case").click()
    assert barriers_in_both(page, "checking/checks.html") == []
    page.get_by_role("link", name=re.compile("^Set aside.*Finding 1")).click()
    assert barriers(page, "checking/set_aside.html") == []
    page.get_by_label("Reason").fill("The mark was corrected")
    page.get_by_role("button", name="Set it aside").click()
    expect(seen(page, "The mark was corrected")).to_be_visible()
    for name, keys, template in (
        ("checking:answer", {**of_case, "key": "length"}, "checking/answer.html"),
        ("checking:office", {}, "checking/office.html"),
        ("checking:add", {}, "checking/add.html"),
        ("checking:change", {"key": "length"}, "checking/change.html"),
    ):
        page.goto(live_server.url + reverse(name, kwargs=keys))
        assert barriers(page, template) == [], template
