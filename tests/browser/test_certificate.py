"""The certificate's items, the decedent and the list of texts, in a browser."""

from __future__ import annotations

import pytest
from playwright.sync_api import expect

from me_office.accounts.roles import Role
from tests.browser.visitor import barriers, barriers_in_both, enter, seen
from tests.builders import make_case, make_staff

pytestmark = pytest.mark.django_db(transaction=True)


def test_a_certificate_is_stated_and_questioned(page, live_server):
    vasko, case = make_staff(Role.PATHOLOGIST, name="I. Vasko"), make_case()
    enter(page, vasko, live_server)
    page.goto(f"/cases/{case.pk}/cause-and-manner/")
    assert barriers_in_both(page, "certification/cause_and_manner.html") == []
    page.get_by_label("Immediate cause").fill("Acute opioid intoxication")
    page.get_by_label("could not be determined").check()
    page.get_by_role("button", name="State cause and manner").click()
    expect(seen(page, "names no drug")).to_be_visible()
    expect(seen(page, "Items 38 to 44")).to_be_visible()
    assert barriers_in_both(page, "certification/cause_and_manner.html") == []


def test_a_line_is_asked_about_while_it_is_typed_and_stated_to_the_registrar(page, live_server):
    vasko, case = make_staff(Role.PATHOLOGIST, name="I. Vasko"), make_case()
    enter(page, vasko, live_server)
    page.goto(f"/cases/{case.pk}/cause-and-manner/")
    page.get_by_label("Immediate cause").fill("Deep vein thrombosis")
    page.get_by_label("Due to, or as a consequence of").first.fill("Pulmonary embolism")
    expect(seen(page, "Check the order of the lines")).to_be_visible()
    page.get_by_label("Immediate cause").fill("Pulmonary embolism")
    page.get_by_label("Due to, or as a consequence of").first.fill("Deep vein thrombosis")
    expect(seen(page, "Check the order of the lines")).to_have_count(0)
    page.get_by_label("natural").check()
    page.get_by_role("button", name="State cause and manner").click()
    page.get_by_role("link", name="State it").click()
    assert barriers(page, "certification/registrar.html") == []
    page.get_by_role("button", name="Keep it as stated").click()
    expect(page.get_by_role("heading", name="Statement 1")).to_be_visible()
    page.get_by_role("link", name="Add a follow-up").click()
    assert barriers(page, "certification/follow_up.html") == []
    page.goto(f"/cases/{case.pk}/cause-and-manner/particulars/")
    assert barriers(page, "certification/particulars.html") == []


def test_the_list_of_texts_and_the_decedent_are_free_of_what_axe_finds(new_page, live_server):
    sedge, case = make_staff(Role.INVESTIGATOR, name="R. Sedge"), make_case()
    page = new_page(viewport={"width": 820, "height": 1180})
    enter(page, sedge, live_server)
    for path, template in {
        f"/cases/{case.pk}/decedent/": "cases/edit_decedent.html",
        "/help/statements/": "shell/statements.html",
        "/help/accessibility/": "shell/accessibility.html",
    }.items():
        assert page.goto(path).status == 200
        assert barriers(page, template) == []
    page.set_viewport_size({"width": 390, "height": 844})
    page.goto("/help/statements/?words=caution")
    assert page.evaluate("document.documentElement.scrollWidth") == 390
