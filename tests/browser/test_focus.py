"""Where the focus is once a page, or a part of it, is new: WCAG 2.2, 2.4.3 (focus order)."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Any

import pytest
from playwright.sync_api import Locator, Page, expect

from me_office.accounts.models import Staff
from tests.browser.visitor import enter, seen
from tests.builders import make_case
from tests.shell import pages

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.urls("tests.shell.pages")]
PHONE = {"width": 390, "height": 844}


@pytest.fixture(autouse=True)
def _three_rows() -> None:
    pages.row_words.clear()
    pages.row_words.update(dict.fromkeys(range(1, 4), ""))


def link(page: Page, number: int) -> Locator:
    return page.get_by_role("link", name=f"Change row {number}")


def test_the_focus_comes_back_to_what_was_worked_on(
    page: Page, clerk: Staff, live_server: Any
) -> None:
    enter(page, clerk, live_server)
    page.goto("/tests/rows/")
    link(page, 2).click()
    page.get_by_label("Words").fill("on the left side")
    page.get_by_role("button", name="Save").click()
    expect(link(page, 2)).to_be_focused()
    expect(page.get_by_role("status").locator("p")).to_have_text(["Row 2 is saved."])

    link(page, 3).click()
    page.get_by_role("link", name="Cancel").click()
    expect(link(page, 3)).to_be_focused()

    # What is wrong comes first; the way back is not forgotten.
    link(page, 1).click()
    page.get_by_role("button", name="Save").click()
    expect(page.get_by_role("alert")).to_be_focused()
    page.get_by_label("Words").fill("seated")
    page.get_by_role("button", name="Save").click()
    expect(link(page, 1)).to_be_focused()

    link(page, 2).click()
    page.get_by_label("Words").fill("of another case")
    page.get_by_role("button", name="Void it").click()
    expect(page.get_by_role("heading", name="All of them")).to_be_focused()

    # The same form, for the next one.
    page.get_by_label("Words").fill("a fourth")
    page.get_by_role("button", name="Add").click()
    expect(page.get_by_role("listitem").filter(has_text="a fourth")).to_be_visible()
    expect(page.get_by_label("Words")).to_be_focused()

    # A part that is made anew keeps the button that was pressed, or takes its heading.
    page.get_by_role("button", name="Look again").press("Enter")
    expect(page.get_by_role("button", name="Make it")).to_be_hidden()
    expect(page.get_by_role("button", name="Look again")).to_be_focused()
    page.get_by_role("button", name="Look again").press("Enter")
    page.goto("/tests/rows/")
    page.get_by_role("button", name="Make it").press("Enter")
    expect(seen(page, "It is made.")).to_be_visible()
    expect(page.get_by_role("heading", name="Part")).to_be_focused()
    # Its end is said, and told by the tab.
    expect(page.get_by_role("status").locator("p")).to_have_text(["Ready: part 7"])
    expect(page).to_have_title(re.compile("^Ready: part 7 · Rows · "))

    # Who only comes to a page begins at its beginning.
    page.goto("/tests/veils/")
    page.goto("/tests/rows/")
    page.keyboard.press("Tab")
    expect(page.get_by_role("link", name="Skip to the content of this page")).to_be_focused()


def test_the_sheet_and_the_menu_hold_the_focus_and_give_it_back(
    new_page: Callable[..., Page], clerk: Staff, live_server: Any
) -> None:
    make_case()
    page = new_page(viewport=PHONE)
    enter(page, clerk, live_server)
    page.goto("/tests/case/")
    handle = page.get_by_role("button", name="Linked to this")
    row = page.get_by_role("link", name="I. Vasko placed the mark")
    menu = page.locator("summary", has_text="R. Ostrander")
    sign_out = page.get_by_role("button", name="Sign out")

    handle.click()
    expect(page.get_by_role("complementary")).to_be_focused()
    page.keyboard.press("Tab")
    expect(row).to_be_focused()
    page.keyboard.press("Tab")
    expect(handle).to_be_focused()
    page.keyboard.press("Shift+Tab")
    expect(row).to_be_focused()
    page.keyboard.press("Escape")
    expect(handle).to_be_focused()
    expect(row).to_be_hidden()
    handle.press("Enter")
    page.keyboard.press("Tab")
    page.get_by_role("heading", name="Body").click()
    expect(row).to_be_hidden()
    expect(handle).to_be_focused()

    menu.press("Enter")
    page.keyboard.press("Shift+Tab")
    expect(sign_out).to_be_focused()
    page.keyboard.press("Tab")
    expect(menu).to_be_focused()
    page.keyboard.press("Shift+Tab")
    page.get_by_role("heading", name="Body").click()
    expect(sign_out).to_be_hidden()
    expect(menu).to_be_focused()
