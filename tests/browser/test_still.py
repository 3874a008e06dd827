"""What comes or goes by itself moves nothing that the pointer is on."""

from __future__ import annotations

from typing import Any

import pytest
from playwright.sync_api import Locator, Route, expect

from me_office.accounts.roles import Role
from tests.browser.visitor import enter, seen
from tests.builders import make_case, make_staff

pytestmark = pytest.mark.django_db(transaction=True)

TOP_OF = "(one) => one.getBoundingClientRect().top"
FIT = "(all) => all.length > 1 && all.every((one) => one.scrollWidth <= one.clientWidth)"
NO_PLACE = """() => {
    navigator.geolocation.getCurrentPosition = (_, refused) => { window.refuse = refused; };
}"""


def resting_on(control: Locator) -> float:
    """Lay the pointer onto a control, and return where it is."""
    control.hover()
    return float(control.evaluate(TOP_OF))


def test_nothing_goes_from_under_the_pointer_on_the_scene_s_form(
    new_page: Any, live_server: Any, complaints: list[str]
) -> None:
    sedge, case = make_staff(Role.INVESTIGATOR, name="R. Sedge"), make_case()
    page = new_page(viewport={"width": 390, "height": 844}, has_touch=True)
    enter(page, sedge, live_server)
    page.goto(f"/cases/{case.pk}/scene/edit/")

    # None of the words by which a part is chosen runs into the next.
    parts = page.get_by_role("navigation", name="Parts of this page").get_by_role("link")
    assert parts.evaluate_all(FIT)

    def stays(control: Locator, was: float) -> None:
        assert control.evaluate(TOP_OF) == pytest.approx(was, abs=1)

    # The line of a lost connection, at the top of the page and far below it.
    line = seen(page, "No connection. What you type is kept on this device.")
    for control in (page.get_by_role("link", name="Rigor"), page.get_by_text("passing off")):
        before = resting_on(control)
        page.context.set_offline(True)
        expect(line).to_be_visible()
        stays(control, before)
        page.context.set_offline(False)
        expect(line).to_have_count(0)
        stays(control, before)
    complaints.clear()  # the browser notes that it was offline

    page.evaluate(NO_PLACE)
    page.get_by_role("button", name="Use my location").click()
    surroundings = page.get_by_label("Surroundings as found")
    before = resting_on(surroundings)
    page.evaluate("window.refuse()")
    expect(seen(page, "This device did not give its location.")).to_be_visible()
    stays(surroundings, before)

    held: list[Route] = []
    page.route("**/scene/caution/**", lambda route: held.append(route))
    page.get_by_label("Position as found").select_option("supine")
    page.get_by_label("Where it is").fill("face and chest")
    with page.expect_request("**/scene/caution/**"):
        page.get_by_text("passing off").hover()
        page.mouse.down()
    asked = seen(page, "The pattern does not go with the position found")
    before = float(page.get_by_text("passing off").evaluate(TOP_OF))
    for route in held:
        with page.expect_response("**/scene/caution/**"):
            route.continue_()
    page.evaluate("() => new Promise((done) => { setTimeout(done, 100); })")
    expect(asked).to_have_count(0)
    page.mouse.up()
    expect(asked).to_be_visible()
    expect(page.get_by_label("passing off")).to_be_checked()
    stays(page.get_by_text("passing off"), before)


def test_what_becomes_of_a_form_is_said_without_moving_what_is_below_it(
    new_page: Any, live_server: Any
) -> None:
    boss, case = make_staff(Role.SUPERVISOR, name="M. Thorne"), make_case()
    sedge = make_staff(Role.INVESTIGATOR, name="R. Sedge")
    page = new_page(viewport={"width": 390, "height": 844}, has_touch=True)
    enter(page, boss, live_server)
    page.goto(f"/cases/{case.pk}/assignment/")
    below = page.get_by_role("link", name="Restrict to a named team")
    before = resting_on(below)
    page.get_by_label("Investigator").select_option(str(sedge.pk))
    expect(seen(page, "not saved yet")).to_be_visible()
    assert below.evaluate(TOP_OF) == pytest.approx(before, abs=1)
