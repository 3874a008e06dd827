"""The office's own words for an explanation, in a browser."""

from __future__ import annotations

import pytest
from playwright.sync_api import expect

from me_office.accounts.roles import Role
from tests.browser.visitor import barriers, barriers_in_both, enter, seen
from tests.builders import make_staff

pytestmark = pytest.mark.django_db(transaction=True)


def test_an_explanation_is_said_in_the_offices_own_words(page, live_server):
    enter(page, make_staff(Role.PATHOLOGIST, name="I. Vasko"), live_server)
    page.goto("/explanations/")
    assert barriers_in_both(page, "explanations/all.html") == []
    page.get_by_role("link", name="Why is a ruler in the picture?").click()
    page.get_by_label("Answer").fill("To show how large things are.")
    page.get_by_label("Reason for the change").fill("Shorter for a jury")
    page.get_by_role("button", name="Save").click()
    expect(seen(page, "own words, version 1")).to_be_visible()
    page.goto("/explanations/scale/")
    assert barriers(page, "explanations/explanation.html") == []
