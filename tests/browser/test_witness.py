"""The answers to an exhibit in a browser: all of it at one look, by keys, and on two sheets."""

from __future__ import annotations

import io

import pikepdf
import pytest
from playwright.sync_api import Route, expect

from me_office.accounts.roles import Role
from tests.browser.visitor import barriers_in_both, enter
from tests.builders import make_staff
from tests.witness.told import address, told_set

pytestmark = pytest.mark.django_db(transaction=True)
HIGH = "document.documentElement.scrollHeight"
SIZE = "parseFloat(getComputedStyle(document.querySelector('.answers')).fontSize)"
WIDE = "document.documentElement.scrollWidth"


def test_a_witness_is_led_through_exhibits(page, live_server):
    vasko = make_staff(Role.PATHOLOGIST, name="I. Vasko")
    _, (three, *_) = told_set(vasko)
    enter(page, vasko, live_server)
    late: list[Route] = []
    page.route("**/screen/", lambda route: late.append(route))
    page.goto(address(three), wait_until="domcontentloaded")
    page.evaluate("document.fonts.ready")
    (picture,) = late
    picture.continue_()
    page.unroute("**/screen/")
    # Three findings with every answer, on a desk's screen and a larger one: nothing to scroll, and
    # large enough to be read from a chair.
    page.wait_for_function(f"() => document.images[0].complete && {HIGH} <= 900")
    assert page.evaluate(WIDE) <= 1440
    assert page.evaluate(SIZE) >= 14.5
    assert barriers_in_both(page, "witness/witness.html") == []
    # What does not fit shows its first lines, is there as text, and in full for who asks.
    whole = page.get_by_role("button", name="Full text")
    assert "is consistent with a fall against the rungs" in page.get_by_role("main").inner_text()
    page.keyboard.press("w")
    expect(whole).to_have_attribute("aria-pressed", "true")
    assert page.evaluate(HIGH) > 900
    page.keyboard.press("w")
    expect(whole).to_have_attribute("aria-pressed", "false")
    assert page.evaluate(HIGH) <= 900
    page.set_viewport_size({"width": 1440, "height": 1800})
    expect(whole).to_be_hidden()
    page.set_viewport_size({"width": 1920, "height": 1080})
    # The answers are folded again in the frame after the one that is drawn.
    page.evaluate("new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done)))")
    assert page.evaluate(HIGH) <= 1080
    assert page.evaluate(WIDE) <= 1920
    for width in (820, 390):
        page.set_viewport_size({"width": width, "height": 1180})
        assert page.evaluate(WIDE) == width
    page.set_viewport_size({"width": 1440, "height": 900})
    sheets = pikepdf.open(io.BytesIO(page.pdf()))
    assert 1 <= len(sheets.pages) <= 2
    # What is asked opens in place.
    page.get_by_text("Why is the number of impacts a minimum?").click()
    expect(page.get_by_text("there may have been more.").first).to_be_visible()
    picture = page.get_by_role("img", name="Outlined: 1 Contusion, 2 Abrasion, 3 Lividity")
    expect(picture).to_be_visible()
    page.keyboard.press("o")
    expect(picture).to_be_hidden()
    expect(page.get_by_role("button", name="Outlines")).to_have_attribute("aria-pressed", "false")
    page.get_by_role("button", name="Outlines").click()
    expect(picture).to_be_visible()
    page.keyboard.press("v")
    expect(picture).to_be_hidden()
    page.get_by_role("button", name="Cover").click()
    expect(picture).to_be_visible()
    page.keyboard.press("n")
    expect(page.get_by_role("heading", level=1)).to_have_text("Exhibit 2")
    assert page.evaluate(HIGH) <= 900
    lines = page.locator('[data-part="measures"]')
    expect(lines).to_be_hidden()
    page.keyboard.press("m")
    expect(lines).to_be_visible()
    page.keyboard.press("ArrowRight")
    expect(page.get_by_role("heading", level=1)).to_have_text("Exhibit 3")
    page.keyboard.press("n")
    expect(page.locator("#said")).to_contain_text("This is the last exhibit.")
    page.keyboard.press("p")
    expect(page.get_by_role("heading", level=1)).to_have_text("Exhibit 2")
