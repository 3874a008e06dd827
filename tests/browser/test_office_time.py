"""Days and times typed, read back and chosen; on a device that keeps another time, and in the hour
that comes twice."""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from datetime import UTC, datetime
from decimal import Decimal
from pathlib import Path

import pytest
from django.urls import reverse
from playwright.sync_api import Locator, Page, expect

from cases.models import SceneReading
from me_office.accounts.roles import Role
from tests.browser.visitor import barriers, barriers_in_both, enter, seen
from tests.builders import make_case, make_staff

pytestmark = pytest.mark.django_db(transaction=True)
PHONE = {"width": 390, "height": 844}
OFFICE, ABROAD, TOMORROW = "America/New_York", "Europe/Dublin", "Pacific/Kiritimati"
ROWS = json.loads((Path(__file__).parents[1] / "shell" / "as_typed.json").read_text())
# What the browser makes of the rows that hold the office's own reading.
READ = """async ({ days, clocks, moments, words }) => {
    const typed = await import("/static/shell/js/as_typed.js");
    const { isoDay, dayFace, clockFace, dayWords, readDay } = typed;
    const said = (read, form) => (read.words ? ["", read.words] : [form(read), ""]);
    const moment = ({ day, clock }) => `${isoDay(day)}T${clockFace(clock)}`;
    return {
        days: days.map(([text]) => [text, ...said(readDay(text), isoDay)]),
        clocks: clocks.map(([text]) => [text, ...said(typed.readClock(text), clockFace)]),
        moments: moments.map(([day, clock]) => {
            const read = typed.readMoment(day, clock);
            return [day, clock, read.words ? read.part : moment(read), read.words ?? ""];
        }),
        words: words.map(([iso]) => [iso, dayFace(readDay(iso)), dayWords(readDay(iso))]),
    };
}"""


def at_the_scene(new_page: Callable[..., Page], live_server, zone: str) -> Page:
    quill, case = make_staff(Role.INVESTIGATOR, name="L. Quill"), make_case()
    page = new_page(viewport=PHONE, timezone_id=zone)
    enter(page, quill, live_server)
    page.goto(reverse("cases:add-entry", kwargs={"case_id": case.pk, "kind": "readings"}))
    return page


def day_of(page: Page, label: str = "Read at") -> Locator:
    return page.get_by_label(label, exact=True)


def test_a_touch_on_save_is_not_lost_when_the_last_field_is_left(new_page, live_server):
    page = at_the_scene(new_page, live_server, OFFICE)
    seen(page, "air beside the body").click()
    page.get_by_label("Temperature").fill("-1.5")
    expect(seen(page, "Kept on this device")).to_be_visible()
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
    own = at_home.get_by_label("Read at, time")
    expect(own).to_have_accessible_description(re.compile("E[SD]T$"))
    own.fill("")
    expect(own).to_have_accessible_description("MM/DD/YYYY HH:MM, New York time")
    abroad = at_the_scene(new_page, live_server, ABROAD)
    for one in (day_of(abroad), abroad.get_by_label("Read at, time")):
        expect(one).to_have_accessible_description(
            re.compile("E[SD]T This device keeps another time.$")
        )
    assert barriers(abroad, "cases/entry.html") == []
    wide = abroad.evaluate("document.documentElement.scrollWidth")
    assert wide <= PHONE["width"]
    abroad.set_viewport_size({"width": 1440, "height": 900})
    abroad.goto(reverse("cases:log-report"))
    by, at = abroad.get_by_label("Pronounced dead by"), day_of(abroad, "Pronounced at")
    expect(at).to_have_accessible_description(re.compile("This device keeps another time"))
    assert by.bounding_box()["y"] == at.bounding_box()["y"], "the note moves no other input"


def test_in_the_hour_that_comes_twice_either_is_chosen_before_sending(new_page, live_server):
    first, second = "first time, UTC−04:00", "second time, UTC−05:00"
    page = at_the_scene(new_page, live_server, ABROAD)
    address = page.url
    field, clock = day_of(page), page.get_by_label("Read at, time")
    choice = page.get_by_label("First or second time")

    def measured_in_that_hour() -> None:
        page.get_by_role("radio").first.check()
        page.get_by_label("Temperature").fill("31.2")
        field.fill("2026-11-01T01:30")
        field.blur()
        expect(choice).to_have_value("")

    measured_in_that_hour()
    expect(field).to_have_value("11/01/2026")
    said = "Sunday, November 1, 2026, 01:30 This device keeps another time."
    expect(field).to_have_accessible_description(said)
    clock.fill("3:30 AM")
    clock.blur()
    expect(choice).to_have_count(0)
    expect(field).to_have_accessible_description(re.compile("03:30 EST"))
    clock.fill("0130")
    clock.blur()
    expect(choice).to_have_value("")
    choice.select_option(second)
    # What was chosen is kept on the device with what was typed.
    page.reload()
    expect(seen(page, "has been restored")).to_be_visible()
    expect(choice.locator("option:checked")).to_have_text(second)
    page.get_by_role("button", name="Save").click()
    page.wait_for_url("**/scene/**")
    reading = SceneReading.objects.get()
    assert reading.read_at == datetime(2026, 11, 1, 6, 30, tzinfo=UTC)
    # What the office has chosen is nothing that somebody typed.
    keys = {"case_id": reading.case_id, "kind": "readings", "record_id": reading.pk}
    page.goto(reverse("cases:edit-entry", kwargs=keys))
    expect(choice.locator("option:checked")).to_have_text(second)
    assert page.evaluate("Object.keys(localStorage)") == []
    page.goto(address)
    measured_in_that_hour()
    choice.select_option(first)
    page.get_by_role("button", name="Save").click()
    page.wait_for_url("**/scene/**")
    later = SceneReading.objects.order_by("created_at").last()
    assert later.read_at == datetime(2026, 11, 1, 5, 30, tzinfo=UTC)


def test_what_is_typed_is_read_back_or_refused_beside_its_field_as_the_office_reads_it(
    new_page, live_server
):
    page = at_the_scene(new_page, live_server, OFFICE)
    assert page.evaluate(READ, ROWS) == ROWS | {
        kind: [[text, "" if words else meant, words] for text, meant, words in ROWS[kind]]
        for kind in ("days", "clocks")
    }
    page.get_by_role("radio").first.check()
    page.get_by_label("Temperature").fill("31.2")
    day, clock = day_of(page), page.get_by_label("Read at, time")
    save, heard = page.get_by_role("button", name="Save"), page.locator("#said")
    day.fill("03/04")
    save.click()
    expect(day).to_be_focused()
    expect(day).to_have_attribute("aria-invalid", "true")
    expect(day).to_have_accessible_description("Write the date as 11/29/2026.")
    expect(heard).to_contain_text("Write the date as 11/29/2026.")
    day.fill("03/04/2026")
    clock.fill("")
    save.click()
    expect(clock).to_be_focused()
    expect(clock).to_have_accessible_description("Add the time.")
    expect(day).not_to_have_attribute("aria-invalid", "true")
    clock.fill("2:05")
    clock.blur()
    expect(clock).to_have_accessible_description("Write 02:05 or 14:05, or add AM or PM.")
    clock.fill("2:05 pm")
    read = "Wednesday, March 4, 2026, 14:05 EST"
    expect(day).to_have_accessible_description(read)
    clock.blur()
    expect(heard).to_contain_text(read)
    day.fill("03/08/2026")
    clock.fill("02:30")
    save.click()
    expect(clock).to_have_accessible_description("The clocks were put forward past this time.")
    assert SceneReading.objects.count() == 0
    clock.fill("03:30")
    save.click()
    page.wait_for_url("**/scene/**")
    assert SceneReading.objects.get().read_at == datetime(2026, 3, 8, 7, 30, tzinfo=UTC)


def test_a_day_is_chosen_with_keys_or_a_finger_and_today_is_the_offices(new_page, live_server):
    page = at_the_scene(new_page, live_server, TOMORROW)
    page.clock.set_fixed_time("2026-11-30T02:00:00Z")
    day, open_it = day_of(page), page.get_by_role("button", name="Choose date, Read at")
    chooser = page.get_by_role("dialog", name="Choose date, Read at")
    day.fill("03/04")
    open_it.click()
    focused = page.locator(".day-chooser :focus")
    expect(focused).to_have_accessible_name("Sunday, November 29, 2026")
    expect(focused).to_have_attribute("aria-current", "date")
    assert barriers_in_both(page, "cases/entry.html") == []
    for key, name in [
        ("ArrowLeft", "Saturday, November 28, 2026"), ("Home", "Sunday, November 22, 2026"),
        ("End", "Saturday, November 28, 2026"), ("ArrowRight", "Sunday, November 29, 2026"),
        ("ArrowDown", "Sunday, December 6, 2026"), ("ArrowUp", "Sunday, November 29, 2026"),
        ("PageDown", "Tuesday, December 29, 2026"), ("PageUp", "Sunday, November 29, 2026"),
        ("Shift+PageUp", "Saturday, November 29, 2025"),
        ("Shift+PageDown", "Sunday, November 29, 2026"),
    ]:  # fmt: skip
        page.keyboard.press(key)
        expect(focused).to_have_accessible_name(name)
    page.keyboard.press("Escape")
    expect(chooser).to_be_hidden()
    expect(open_it).to_be_focused()
    expect(day).to_have_value("03/04")
    page.set_viewport_size({"width": 320, "height": 480})
    page.keyboard.press("Enter")
    chooser.get_by_role("button", name="Next month").click()
    expect(page.locator("#said")).to_contain_text("December 2026")
    expect(chooser.get_by_role("grid", name="December 2026")).to_be_visible()
    small = chooser.get_by_role("button").evaluate_all(
        """(all) => all.map((one) => one.getBoundingClientRect())
            .filter(({ width, height, left, right }) =>
                width < 44 || height < 44 || left < 0 || right > window.innerWidth)"""
    )
    assert small == []
    chooser.get_by_role("button", name="Tuesday, December 15, 2026").click()
    expect(open_it).to_be_focused()
    expect(day).to_have_value("12/15/2026")
    open_it.click()
    expect(focused).to_have_accessible_name("Tuesday, December 15, 2026")
    expect(chooser.get_by_role("gridcell", selected=True)).to_have_text("15")
    chooser.get_by_role("button", name="Today").click()
    expect(day).to_have_value("11/29/2026")
