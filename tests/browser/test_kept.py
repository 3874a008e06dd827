"""What a test leaves in the session that is kept is not there for the next."""

from __future__ import annotations

from typing import Any

import pytest
from playwright.sync_api import Browser, expect

from tests.browser.conftest import DESK
from tests.browser.kept import KeptSession

pytestmark = pytest.mark.django_db(transaction=True)
PLACE = "/sign-in/"
# What stands in a session, on a page of the place.
LEFT = """async () => ({
    local: Object.keys(localStorage), session: Object.keys(sessionStorage), name: window.name,
    databases: (await indexedDB.databases()).map(({ name }) => name),
    cookies: document.cookie.split("; ").map((one) => one.split("=")[0]), online: navigator.onLine,
    size: [innerWidth, innerHeight],
    media: ["print", "(prefers-color-scheme: dark)", "(prefers-reduced-motion: reduce)"]
        .map((one) => matchMedia(one).matches),
    contrast: ["(forced-colors: active)", "(prefers-contrast: more)"]
        .map((one) => matchMedia(one).matches),
    zone: Intl.DateTimeFormat().resolvedOptions().timeZone,
    may: (await navigator.permissions.query({ name: "geolocation" })).state,
})"""
LEAVE = """async () => {
    addEventListener("pagehide", () => localStorage.setItem("last", "words"));
    localStorage.setItem("draft", "words");
    sessionStorage.setItem("draft", "words");
    window.name = "left";
    document.cookie = "left=behind; path=/";
    await new Promise((done) => {
        indexedDB.open("left").onsuccess = ({ target }) => done(target.result.close());
    });
}"""


@pytest.fixture
def kept(browser: Browser, live_server: Any) -> Any:
    options: dict[str, Any] = {"viewport": DESK, "reduced_motion": "reduce"}
    context = browser.new_context(base_url=live_server.url, **options)
    yield KeptSession(context, live_server.url, DESK)
    context.close()


def test_nothing_that_a_test_leaves_is_seen_by_the_next(kept: KeptSession) -> None:
    page = kept.page
    page.goto(PLACE)
    at_first = page.evaluate(LEFT)
    page.evaluate(LEAVE)
    page.context.grant_permissions(["geolocation"])
    page.emulate_media(
        media="print", color_scheme="dark", reduced_motion="no-preference",
        forced_colors="active", contrast="more",
    )  # fmt: skip
    page.set_viewport_size({"width": 390, "height": 844})
    kept.keep_time_of("Pacific/Kiritimati")
    page.mouse.move(200, 200)
    page.route("**/sign-in/", lambda route: route.abort())
    page.context.route("**/health/", lambda route: route.abort())
    page.context.new_page()
    page.context.set_offline(True)
    left = page.evaluate(LEFT)
    assert [name for name in at_first if left[name] == at_first[name]] == []
    assert kept.take_back()
    page.goto("/health/")
    page.goto(PLACE)
    assert page.evaluate(LEFT) == at_first
    assert page.context.pages == [page]
    page.evaluate("addEventListener('click', (one) => { document.title = [one.x, one.y]; })")
    page.mouse.down()
    page.mouse.up()
    expect(page).to_have_title("0,0")


def test_a_session_with_a_clock_of_its_own_is_not_kept(kept: KeptSession) -> None:
    kept.page.clock.install()
    kept.page.goto(PLACE)
    assert not kept.take_back()


def test_a_session_whose_page_was_closed_is_not_kept(kept: KeptSession) -> None:
    kept.page.close()
    assert not kept.take_back()
