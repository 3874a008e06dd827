"""A moment typed on a device that keeps another time, and in the hour that comes twice."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import UTC, datetime
from decimal import Decimal

import pytest
from django.urls import reverse
from playwright.sync_api import Page, expect

from cases.models import SceneReading
from me_office.accounts.roles import Role
from tests.browser.visitor import barriers, enter
from tests.builders import make_case, make_staff

pytestmark = pytest.mark.django_db(transaction=True)
PHONE = {"width": 390, "height": 844}
OFFICE, ABROAD = "America/New_York", "Europe/Dublin"


def at_the_scene(new_page: Callable[..., Page], live_server, zone: str) -> Page:
    quill, case = make_staff(Role.INVESTIGATOR, name="L. Quill"), make_case()
    page = new_page(viewport=PHONE, timezone_id=zone)
    enter(page, quill, live_server)
    page.goto(reverse("cases:add-entry", kwargs={"case_id": case.pk, "kind": "readings"}))
    return page


def test_a_touch_on_save_is_not_lost_when_the_last_field_is_left(new_page, live_server):
    page = at_the_scene(new_page, live_server, OFFICE)
    page.get_by_text("air beside the body").click()
    page.get_by_label("Temperature").fill("-1.5")
    expect(page.get_by_text("Kept on this device")).to_be_visible()
    save = page.get_by_role("button", name="Save")
    # All the way down, where a line that goes moves everything above it.
    page.evaluate("window.scrollTo(0, document.body.scrollHeight)")
    before = save.bounding_box()
    page.mouse.move(before["x"] + 20, before["y"] + 5)
    page.mouse.down()
    expect(page.get_by_label("Temperature")).not_to_be_focused()
    assert save.bounding_box() == before
    page.mouse.up()
    page.wait_for_url("**/scene/**")
    assert SceneReading.objects.get().value_c == Decimal("-1.5")


def test_a_device_of_the_offices_time_is_told_nothing_and_another_whose_time_it_is(
    new_page, live_server
):
    at_home = at_the_scene(new_page, live_server, OFFICE)
    expect(at_home.get_by_label("Read at")).to_be_visible()
    expect(at_home.get_by_text("Office time")).to_have_count(0)
    abroad = at_the_scene(new_page, live_server, ABROAD)
    expect(abroad.get_by_text("Office time (America/New York)")).to_be_visible()
    expect(abroad.get_by_label("Read at")).to_have_accessible_description(
        "Office time (America/New York). This device keeps another time."
    )
    assert barriers(abroad, "cases/entry.html") == []
    wide = abroad.evaluate("document.documentElement.scrollWidth")
    assert wide <= PHONE["width"]
    abroad.set_viewport_size({"width": 1440, "height": 900})
    abroad.goto(reverse("cases:log-report"))
    by, at = abroad.get_by_label("Pronounced dead by"), abroad.get_by_label("Pronounced at")
    expect(at).to_have_accessible_description(re.compile("This device keeps another time"))
    assert by.bounding_box()["y"] == at.bounding_box()["y"], "the note moves no other input"


@pytest.mark.parametrize(
    ("which", "hour"), [("first time, UTC−04:00", 5), ("second time, UTC−05:00", 6)]
)
def test_in_the_hour_that_comes_twice_either_is_chosen_before_sending(
    new_page, live_server, which, hour
):
    page = at_the_scene(new_page, live_server, ABROAD)
    page.get_by_role("radio").first.check()
    page.get_by_label("Temperature").fill("31.2")
    field = page.get_by_label("Read at")
    choice = page.get_by_label("First or second time")
    field.fill("2026-11-01T01:30")
    field.blur()
    expect(choice).to_have_value("")
    field.fill("2026-11-01T03:30")
    field.blur()
    expect(choice).to_have_count(0)
    field.fill("2026-11-01T01:30")
    field.blur()
    expect(choice).to_have_value("")
    choice.select_option(which)
    # What was chosen is kept on the device with what was typed.
    page.reload()
    expect(page.get_by_text("has been restored")).to_be_visible()
    expect(choice.locator("option:checked")).to_have_text(which)
    page.get_by_role("button", name="Save").click()
    page.wait_for_url("**/scene/**")
    assert SceneReading.objects.get().read_at == datetime(2026, 11, 1, hour, 30, tzinfo=UTC)
