"""Keys, drafts, sheets and covers of the page frame, in a browser."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Any

import pytest
from playwright.sync_api import Page, expect

from me_office.accounts.models import Staff
from me_office.accounts.roles import Role
from tests.browser.visitor import barriers_in_both, enter, seen
from tests.builders import make_case, make_staff
from tests.shell import pages

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.urls("tests.shell.pages")]
PHONE = {"width": 390, "height": 844}
BACKGROUND = "(one) => getComputedStyle(one).backgroundColor"


@pytest.fixture(autouse=True)
def _nothing_received() -> None:
    pages.received.clear()


@pytest.fixture
def desk(page: Page, clerk: Staff, live_server: Any) -> Page:
    """Return a page of a signed-in clerk at a desk."""
    enter(page, clerk, live_server)
    return page


@pytest.fixture
def phone(new_page: Callable[..., Page], clerk: Staff, live_server: Any) -> Page:
    """Return a page of a signed-in clerk on a phone."""
    page = new_page(viewport=PHONE, has_touch=True, is_mobile=True)
    enter(page, clerk, live_server)
    return page


def test_the_slash_key_goes_to_the_search(desk: Page) -> None:
    desk.goto("/tests/veils/")
    desk.keyboard.press("/")
    expect(desk.get_by_role("searchbox", name="Find a case")).to_be_focused()
    desk.keyboard.type("a/b")
    expect(desk.get_by_role("searchbox", name="Find a case")).to_have_value("a/b")


def test_the_first_tab_leads_past_the_frame(desk: Page) -> None:
    desk.goto("/tests/veils/")
    desk.keyboard.press("Tab")
    expect(desk.get_by_role("link", name="Skip to the content of this page")).to_be_focused()
    desk.keyboard.press("Enter")
    expect(desk.get_by_role("main")).to_be_focused()


def test_the_theme_is_switched_at_once_and_kept(desk: Page) -> None:
    desk.goto("/tests/veils/")
    desk.get_by_text("R. Ostrander").click()
    desk.get_by_role("button", name="Dark").click()
    expect(desk.locator("html")).to_have_attribute("data-theme", "dark")
    desk.reload()
    expect(desk.locator("html")).to_have_attribute("data-theme", "dark")


def test_what_is_chosen_is_told_in_the_colors_of_the_system_too(desk: Page) -> None:
    desk.goto("/tests/scene/")
    desk.emulate_media(forced_colors="active")
    group = desk.get_by_role("group", name="Last known alive")
    group.get_by_text("between").click()
    desk.get_by_text("R. Ostrander").click()
    desk.get_by_role("button", name="Dark").click()
    for chosen, other in (
        (group.locator("label", has_text="between"), group.locator("label", has_text="unknown")),
        (desk.get_by_role("button", name="Dark"), desk.get_by_role("button", name="Light")),
    ):
        assert chosen.evaluate(BACKGROUND) != other.evaluate(BACKGROUND)


def test_errors_take_the_focus_and_lead_into_the_field(desk: Page) -> None:
    desk.goto("/tests/scene/")
    desk.get_by_role("button", name="Record").click()
    expect(desk.get_by_role("alert")).to_be_focused()
    desk.get_by_role("alert").get_by_role("link", name="Position as found").click()
    expect(desk.get_by_label("Position as found")).to_be_focused()


def test_an_uncertain_time_asks_only_for_what_it_needs(desk: Page) -> None:
    desk.goto("/tests/scene/")
    group = desk.get_by_role("group", name="Last known alive")
    until = group.get_by_label("until", exact=True)
    expect(until).to_be_hidden()
    group.get_by_text("between").click()
    expect(until).to_be_visible()
    expect(group.get_by_label("from", exact=True)).to_be_visible()
    group.get_by_text("unknown").click()
    expect(until).to_be_hidden()
    expect(group.get_by_role("textbox")).to_have_count(0)


def test_without_scripts_an_uncertain_time_shows_all_and_the_form_is_sent(
    new_page: Callable[..., Page], clerk: Staff, live_server: Any
) -> None:
    page = new_page(java_script_enabled=False)
    enter(page, clerk, live_server)
    page.goto("/tests/scene/")
    when = page.get_by_role("group", name="Last known alive")
    expect(when.get_by_role("textbox")).to_have_count(4)
    expect(page.get_by_role("button", name="Choose date")).to_have_count(0)
    page.get_by_label("Position as found").fill("face down")
    seen(page, "Fixed").click()
    page.get_by_role("button", name="Record").click()
    expect(seen(page, "The scene is recorded.")).to_be_visible()


def fill_scene(page: Page, position: str) -> None:
    page.get_by_label("Position as found").fill(position)
    seen(page, "Partly").click()


def test_what_was_typed_comes_back_after_a_reload_as_the_same_record(desk: Page) -> None:
    desk.goto("/tests/scene/")
    first_id = desk.locator("[name=record_id]").input_value()
    fill_scene(desk, "face down, right arm under the chest")
    expect(seen(desk, "Kept on this device")).to_be_visible()
    desk.reload()
    expect(seen(desk, "was kept on this device. It has been restored")).to_be_visible()
    expect(desk.get_by_label("Position as found")).to_have_value(
        "face down, right arm under the chest"
    )
    expect(desk.get_by_label("Partly")).to_be_checked()
    assert desk.locator("[name=record_id]").input_value() == first_id


def test_what_is_typed_before_the_scripts_have_come_is_kept_like_the_rest(
    new_page: Callable[..., Page], clerk: Staff, live_server: Any
) -> None:
    desk = new_page(own=True)
    enter(desk, clerk, live_server)
    position, held = desk.get_by_label("Position as found"), []
    desk.route("**/draft*.js", lambda route: held.append(route))

    def type_early(words: str, *, reload: bool) -> None:
        """Type while the page's scripts are on their way."""
        with desk.expect_request("**/draft*.js"):
            if reload:
                desk.evaluate("() => { window.location.reload(); }")
            else:
                desk.goto("/tests/scene/", wait_until="commit")
        position.fill(words)
        held.pop().continue_()

    type_early("face down", reload=False)
    expect(seen(desk, "Kept on this device")).to_be_visible()
    # An older draft is not written over what is being typed: it is offered.
    type_early("on the left side", reload=True)
    expect(seen(desk, "(“face down”) that is not saved. It is kept")).to_be_visible()
    expect(position).to_have_value("on the left side")
    desk.get_by_role("button", name="Restore").click()
    expect(position).to_have_value("face down")
    expect(seen(desk, "(“on the left side”) that is not saved. It is kept")).to_be_visible()
    # What the browser itself gives back after a reload is the draft, and no second one.
    type_early("face down", reload=True)
    expect(seen(desk, "was kept on this device. It has been restored")).to_be_visible()
    expect(seen(desk, "that is not saved. It is kept")).to_have_count(1)
    # What is as it was sent is nothing typed.
    seen(desk, "Discard").first.click()
    seen(desk, "Discard").first.click()
    type_early("", reload=True)
    expect(desk.locator("html[data-scripts]")).to_be_attached()
    assert desk.evaluate("Object.keys(localStorage)") == []


def test_two_tabs_of_one_form_keep_two_drafts_and_a_save_takes_its_own(desk: Page) -> None:
    other, third = desk.context.new_page(), desk.context.new_page()
    for tab, position in ((desk, "face down"), (other, "on the left side")):
        tab.goto("/tests/scene/")
        fill_scene(tab, position)
        expect(seen(tab, re.compile("^Kept on this device"))).to_be_visible()
    # A tab comes back to its own words; the other's are offered beside them.
    desk.reload()
    expect(desk.get_by_label("Position as found")).to_have_value("face down")
    expect(seen(desk, "(“on the left side”) that is not saved. It is kept")).to_be_visible()
    third.goto("/tests/scene/")
    expect(third.get_by_role("button", name="Restore")).to_have_count(2)
    expect(third.get_by_label("Position as found")).to_have_value("")
    desk.get_by_role("button", name="Record").click()
    expect(seen(desk, "The scene is recorded.")).to_be_visible()
    third.reload()
    third.get_by_role("button", name="Restore").click()
    expect(third.get_by_label("Position as found")).to_have_value("on the left side")
    third.get_by_role("button", name="Record").click()
    expect(seen(third, "The scene is recorded.")).to_be_visible()
    assert [sent["position"] for sent in pages.received] == ["face down", "on the left side"]
    assert third.evaluate("Object.keys(localStorage)") == []


def test_what_was_kept_goes_after_three_days_and_is_only_offered_where_it_may_not_fit(
    desk: Page,
) -> None:
    change = """([ago, version]) => {
        const key = Object.keys(localStorage).find((one) => one.startsWith("draft|"));
        const kept = JSON.parse(localStorage.getItem(key));
        if (version) kept.values.version = [version];
        localStorage.setItem(key, JSON.stringify({ ...kept, at: Date.now() - ago }));
    }"""
    three_days, minute = 3 * 24 * 3600 * 1000, 60 * 1000
    position, said = desk.get_by_label("Position as found"), desk.locator("#said")
    desk.goto("/tests/scene/")
    desk.evaluate("""() => {
        const code = document.createElement("input");
        Object.assign(code, { type: "password", name: "code" });
        document.querySelector("#work form").append(code);
        code.value = "seven herons";
    }""")
    fill_scene(desk, "face down")
    expect(seen(desk, re.compile("^Kept on this device"))).to_be_visible()
    assert "herons" not in desk.evaluate("JSON.stringify(localStorage)")
    desk.evaluate(change, [three_days - minute, ""])
    desk.reload()
    expect(position).to_have_value("face down")
    expect(said).to_contain_text("It has been restored and is not saved yet.")
    # A tab that is a copy of this one, and a record that was saved since, are shown it first.
    with desk.expect_popup() as copied:
        desk.evaluate("window.open('/tests/scene/')")
    expect(copied.value.get_by_role("button", name="Restore")).to_be_visible()
    expect(copied.value.get_by_label("Position as found")).to_have_value("")
    expect(copied.value.locator("#said")).to_contain_text("(“face down”) that is not saved.")
    copied.value.close()
    desk.evaluate(change, [minute, "7"])
    desk.reload()
    expect(desk.get_by_role("button", name="Restore")).to_be_visible()
    expect(position).to_have_value("")
    desk.evaluate(change, [three_days + minute, ""])
    desk.reload()
    expect(desk.get_by_role("button", name="Restore")).to_have_count(0)
    assert desk.evaluate("Object.keys(localStorage)") == []


def test_a_kept_entry_can_be_thrown_away(desk: Page) -> None:
    desk.goto("/tests/scene/")
    fill_scene(desk, "face down")
    expect(seen(desk, "Kept on this device")).to_be_visible()
    desk.reload()
    desk.get_by_role("button", name="Discard").click()
    expect(desk.get_by_label("Position as found")).to_have_value("")
    desk.reload()
    expect(desk.get_by_label("Position as found")).to_have_value("")


def test_a_saved_entry_is_not_kept(desk: Page) -> None:
    desk.goto("/tests/scene/")
    fill_scene(desk, "face down")
    desk.get_by_role("button", name="Record").click()
    expect(seen(desk, "The scene is recorded.")).to_be_visible()
    desk.goto("/tests/scene/")
    expect(desk.get_by_label("Position as found")).to_have_value("")
    assert desk.evaluate("Object.keys(localStorage).length") == 0


def test_a_lost_connection_keeps_what_was_typed(desk: Page) -> None:
    desk.goto("/tests/scene/")
    fill_scene(desk, "on the left side")
    desk.route("**/tests/scene/", lambda route: route.abort())
    desk.get_by_role("button", name="Record").click()
    desk.wait_for_url("chrome-error://**")
    desk.unroute("**/tests/scene/")
    desk.goto("/tests/scene/")
    expect(desk.get_by_label("Position as found")).to_have_value("on the left side")
    assert pages.received == []


@pytest.mark.parametrize("device_knows", [True, False], ids=["no network", "a dead line"])
def test_a_form_without_a_connection_waits_on_the_page_and_is_sent_once(
    desk: Page, device_knows: bool, complaints: list[str]
) -> None:
    desk.clock.install()
    desk.goto("/tests/scene/")
    fill_scene(desk, "on the left side")
    desk.clock.run_for(11_000)
    if device_knows:
        desk.context.set_offline(True)
    else:
        desk.route("**/health/", lambda route: route.abort())
    desk.get_by_role("button", name="Record").click()
    expect(seen(desk, "will be sent when the connection is back")).to_be_visible()
    expect(seen(desk, "Kept on this device; will be sent")).to_be_visible()
    desk.get_by_label("Position as found").fill("on the left side, turned since")
    assert pages.received == []
    if device_knows:
        desk.context.set_offline(False)
    else:
        desk.unroute("**/health/")
    desk.clock.run_for(11_000)
    desk.wait_for_url("**/tests/veils/")
    expect(seen(desk, "The scene is recorded.")).to_be_visible()
    assert [sent["position"] for sent in pages.received] == ["on the left side, turned since"]
    # The browser itself notes on its console that there was no network.
    assert all("net::ERR" in one for one in complaints)
    complaints.clear()


def test_an_ended_sign_in_keeps_what_was_typed(desk: Page, clerk: Staff, live_server: Any) -> None:
    desk.goto("/tests/scene/")
    fill_scene(desk, "seated")
    desk.context.clear_cookies(name="sessionid")
    desk.get_by_role("button", name="Record").click()
    expect(desk.get_by_role("heading", name="Sign in")).to_be_visible()
    enter(desk, clerk, live_server)
    desk.goto("/tests/scene/")
    expect(desk.get_by_label("Position as found")).to_have_value("seated")


def test_signing_out_asks_what_becomes_of_what_is_not_saved(
    desk: Page, clerk: Staff, live_server: Any
) -> None:
    def sign_out() -> Any:
        desk.get_by_text("R. Ostrander").click()
        desk.get_by_role("button", name="Sign out").click()
        return desk.get_by_role("dialog", name="One entry is not saved")

    desk.goto("/tests/scene/")
    fill_scene(desk, "face down")
    dialog = sign_out()
    expect(dialog.get_by_role("link", name="Scene")).to_have_attribute("href", "/tests/scene/")
    expect(dialog).to_contain_text("not saved: “face down”")
    found = barriers_in_both(desk, "")
    dialog.get_by_role("button", name="Stay and save").click()
    expect(dialog).to_be_hidden()
    sign_out().get_by_role("button", name="Keep for me and sign out").click()
    expect(desk.get_by_role("heading", name="Sign in")).to_be_visible()
    enter(desk, clerk, live_server)
    desk.goto("/tests/scene/")
    expect(desk.get_by_label("Position as found")).to_have_value("face down")
    sign_out().get_by_role("button", name="Discard and sign out").click()
    expect(desk.get_by_role("heading", name="Sign in")).to_be_visible()
    assert desk.evaluate("Object.keys(localStorage).length") == 0
    assert found == []


def test_another_person_neither_sends_nor_sees_what_was_kept(
    desk: Page, clerk: Staff, live_server: Any
) -> None:
    desk.goto("/tests/scene/")
    fill_scene(desk, "face down")
    expect(seen(desk, "Kept on this device")).to_be_visible()
    enter(desk, make_staff(Role.INVESTIGATOR, name="B. Birch"), live_server)
    desk.get_by_role("button", name="Record").click()
    expect(seen(desk, "opened by R. Ostrander. You are signed in as B. Birch")).to_be_visible()
    assert pages.received == []
    desk.goto("/tests/scene/")
    expect(desk.get_by_label("Position as found")).to_have_value("")
    enter(desk, clerk, live_server)
    desk.goto("/tests/scene/")
    expect(desk.get_by_label("Position as found")).to_have_value("face down")


def test_a_form_is_sent_once_however_often_the_button_is_pressed(desk: Page) -> None:
    desk.goto("/tests/scene/")
    fill_scene(desk, "face down")
    desk.get_by_role("button", name="Record").dblclick()
    expect(seen(desk, "The scene is recorded.")).to_be_visible()
    assert len(pages.received) == 1


def test_a_half_typed_time_is_not_sent_as_nothing(desk: Page) -> None:
    desk.goto("/tests/scene/")
    fill_scene(desk, "face down")
    at = desk.get_by_label("at", exact=True)
    at.click()
    desk.keyboard.type("11")
    desk.get_by_role("button", name="Record").click()
    expect(at).to_be_focused()
    expect(at).to_have_accessible_description("Write the date as 11/29/2026.")
    assert pages.received == []
    # Then nobody knows the time: the field is put away, and does not stop the form.
    desk.locator("[data-part=certainty]").get_by_text("Unknown").click()
    desk.get_by_role("button", name="Record").click()
    expect(seen(desk, "The scene is recorded.")).to_be_visible()


def test_v_shows_and_hides_the_pictures(desk: Page) -> None:
    desk.goto("/tests/veils/")
    picture = desk.get_by_role("img", name="Photograph 21, overview")
    expect(picture).to_be_hidden()
    desk.keyboard.press("v")
    expect(picture).to_be_visible()
    desk.keyboard.press("v")
    expect(picture).to_be_hidden()


def test_v_in_a_veil_shows_only_that_one(desk: Page) -> None:
    desk.goto("/tests/veils/")
    desk.get_by_text("Photograph 22, closer").focus()
    desk.locator("summary", has_text="Photograph 22").focus()
    desk.keyboard.press("v")
    expect(desk.get_by_role("img", name="Photograph 22, closer")).to_be_visible()
    expect(desk.get_by_role("img", name="Photograph 21, overview")).to_be_hidden()


def test_letters_act_or_do_not_as_the_person_chose_and_the_list_of_keys_says_so(
    desk: Page, clerk: Staff
) -> None:
    dialog = desk.get_by_role("dialog", name="Keys on this page")
    search = desk.get_by_role("searchbox", name="Find a case")
    desk.goto("/tests/veils/")
    desk.keyboard.press("?")
    expect(dialog).to_contain_text("Single-key shortcuts are on.")
    expect(dialog.get_by_text("go to the search")).to_be_visible()
    desk.keyboard.press("Escape")
    expect(dialog).to_be_hidden()

    Staff.objects.filter(pk=clerk.pk).update(single_keys=False)
    desk.goto("/tests/veils/")
    for key in ("?", "/", "v"):
        desk.keyboard.press(key)
    expect(dialog).to_be_hidden()
    expect(search).not_to_be_focused()
    expect(desk.locator("details.veil[open]")).to_have_count(0)
    # The list is still there for who can't ask for it by a sign.
    desk.get_by_text("R. Ostrander").click()
    desk.get_by_role("button", name="Keys on this page").click()
    expect(dialog).to_contain_text("Single-key shortcuts are off.")
    expect(dialog.get_by_text("go to the search")).to_have_count(0)
    desk.get_by_role("button", name="Close").click()
    expect(dialog).to_be_hidden()


def test_the_head_line_does_not_scroll_away(desk: Page) -> None:
    make_case()
    desk.set_viewport_size({"width": 1440, "height": 300})
    desk.goto("/tests/case/")
    desk.mouse.wheel(0, 2000)
    expect(desk.get_by_role("region", name="Case")).to_be_in_viewport()


def test_on_a_phone_the_thread_is_a_sheet_from_the_bottom(phone: Page) -> None:
    make_case()
    phone.goto("/tests/case/")
    words = seen(phone, "I. Vasko placed the mark")
    expect(words).to_be_hidden()
    handle = phone.get_by_role("button", name="Linked to this")
    handle.click()
    expect(words).to_be_in_viewport()
    words.click(trial=True)
    handle.click()
    expect(words).to_be_hidden()


def test_a_page_without_a_thread_has_no_column_for_it(phone: Page) -> None:
    make_case()
    phone.goto("/tests/case/?plain")
    expect(seen(phone, "Linked to this")).to_be_hidden()


def test_nothing_is_cut_off_on_a_phone(phone: Page) -> None:
    make_case()
    for address in ("/tests/scene/", "/tests/case/", "/tests/veils/", "/account/"):
        phone.goto(address)
        wide = phone.evaluate("document.documentElement.scrollWidth - window.innerWidth")
        assert wide <= 0, address


def test_targets_are_large_enough_for_fingers(phone: Page) -> None:
    phone.goto("/tests/scene/")
    small = phone.evaluate(
        """() => [...document.querySelectorAll(
             "main button, main input:not([type=hidden]):not([type=radio]), main label:has(input)"
           )].filter((e) => e.offsetParent && e.getBoundingClientRect().height < 44)
           .map((e) => e.outerHTML)"""
    )
    assert small == []


def test_a_page_has_no_barrier_that_a_machine_can_find(
    page: Page, clerk: Staff, live_server: Any
) -> None:
    make_case()
    page.goto("/sign-in/")
    assert barriers_in_both(page, "account/login.html") == []
    enter(page, clerk, live_server)
    for address, template in {
        "/": "cases/first_page.html",
        "/account/": "account/account.html",
        # What the frame gives to every page.
        "/tests/scene/": "",
        "/tests/case/": "",
        "/tests/veils/": "",
    }.items():
        page.goto(address)
        assert barriers_in_both(page, template) == [], address
