"""Computing in a browser: from the case file to a kept result, and free of what axe finds."""

from __future__ import annotations

import pytest
from playwright.sync_api import expect

from me_office.accounts.roles import Role
from tests.browser.visitor import barriers, barriers_in_both, enter, seen
from tests.builders import make_staff
from tests.computing.builders import full_case

pytestmark = pytest.mark.django_db(transaction=True)


def test_a_result_is_seen_with_its_cautions_and_then_kept(page, live_server):
    vasko = make_staff(Role.PATHOLOGIST, name="I. Vasko")
    case = full_case(vasko)
    enter(page, vasko, live_server)
    page.goto(f"/cases/{case.pk}/calculations/")
    page.get_by_role("link", name="Time since death from rectal temperature").click()
    page.get_by_label("Corrective factor").fill("1.0")
    page.reload()
    expect(page.get_by_label("Corrective factor")).to_have_value("1.0")
    page.get_by_role("button", name="Compute").click()
    expect(page.get_by_role("heading", name="Result, not saved")).to_be_visible()
    expect(page.get_by_role("img", name="Expected cooling curve")).to_be_visible()
    expect(seen(page, "A range, never a moment.")).to_be_visible()
    assert barriers_in_both(page, "computing/method.html") == []
    page.get_by_label("Purpose").fill("For the interval")
    page.get_by_role("button", name="Save in the case file").click()
    expect(seen(page, "It is never changed")).to_be_visible()
    page.reload()
    assert barriers_in_both(page, "computing/kept.html") == []


def test_forms_with_tables_and_the_docs_are_free_of_what_axe_finds(new_page, live_server):
    vasko = make_staff(Role.PATHOLOGIST, name="I. Vasko")
    case = full_case(vasko)
    page = new_page(viewport={"width": 820, "height": 1180})
    enter(page, vasko, live_server)
    for path, template in {
        f"/cases/{case.pk}/calculations/": "computing/calculations.html",
        # A table of impacts, and the ends of paths.
        f"/cases/{case.pk}/calculations/impacts/": "computing/method.html",
        f"/cases/{case.pk}/calculations/wound_path/": "computing/method.html",
        "/help/calculations/pmi_rectal/": "computing/doc.html",
    }.items():
        page.goto(path)
        assert barriers(page, template) == [], path
