"""The courtroom screen in a browser: what is asked for, marks, two windows, a lost connection."""

from __future__ import annotations

import os
import re
from datetime import timedelta

import pytest
from playwright.sync_api import Page, Route, expect

from cases.exhibits.models import CourtMark
from evidence.photographs import actions as photographs
from evidence.photographs.models import PhotographFinding
from evidence.photographs.tasks import derive_images
from me_office.accounts.roles import Role
from tests.browser.visitor import barriers, barriers_in_both, enter
from tests.builders import make_case, make_staff
from tests.exhibits.builders import (
    link_contusion,
    make_exhibit,
    make_photograph,
    make_redaction,
    make_set,
)
from tests.measuring.pictures import SIZE, measured, photograph_with_scale

pytestmark = pytest.mark.django_db(transaction=True)
# Twenty take a while: EXHIBITS=20 in the environment leads through as many.
EXHIBITS = int(os.environ.get("EXHIBITS", "4"))
CUT = [[0.25, 0.5], [0.5, 0.5], [0.5, 0.75]]


@pytest.fixture
def trial():
    """Two exhibits: the first with a size and an outlined finding."""
    vasko = make_staff(Role.PATHOLOGIST, name="Dr. I. Vasko")
    case = make_case(by=vasko)
    wide = photograph_with_scale(vasko, case)
    derive_images(photograph_id=str(wide.pk))
    measured(vasko, wide)
    link_contusion(vasko, case, wide)
    link = PhotographFinding.objects.get()
    photographs.outline_finding(
        vasko, case_id=case.pk, link_id=link.pk, version=link.version, entry={"outline": CUT}
    )
    made = make_set(vasko, case)
    for photograph in (wide, make_photograph(vasko, case, seed=2)):
        make_exhibit(vasko, made, photograph)
    return made


def present(page: Page, live_server, trial) -> None:
    """Open the courtroom screen and wait until every picture is there."""
    enter(page, make_staff(Role.PATHOLOGIST, name="Dr. N. Amadi"), live_server)
    page.goto(f"/cases/{trial.case_id}/exhibits/{trial.pk}/present/")
    # Whatever did not come is asked for again without waiting.
    page.evaluate("window.dispatchEvent(new Event('online'))")
    loaded = page.locator('[data-part="ahead"]')
    expect(loaded).to_contain_text("All pictures loaded: no connection", timeout=30_000)


def a_later_office(route: Route) -> None:
    """Answer as an office would whose clock is two minutes ahead of this one."""
    answer = route.fetch()
    later = re.sub(
        r'data-now="(\d+)"', lambda now: f'data-now="{int(now[1]) + 120_000}"', answer.text()
    )
    route.fulfill(response=answer, body=later)


def test_what_is_asked_for_over_an_exhibit_is_gone_with_it(page, live_server, trial):
    present(page, live_server, trial)
    heading = page.get_by_role("heading", level=1)
    outlined = page.get_by_role("img", name="Outlined: 4 Contusion")
    size = page.get_by_text(re.compile(r"^3\.0 cm"))
    page.keyboard.press("h")
    expect(heading).to_have_text("Exhibit 1")
    expect(outlined).to_have_count(0)
    for key in ("o", "m"):
        page.keyboard.press(key)
    expect(outlined).to_be_visible()
    expect(size.first).to_be_visible()
    for key in ("n", "p"):
        page.keyboard.press(key)
    expect(heading).to_have_text("Exhibit 1")
    expect(outlined).to_have_count(0)
    expect(size.first).to_be_hidden()

    # Another exhibit beside it, each with its number; the pointer goes over from one to the other.
    page.keyboard.press("s")
    chosen = page.get_by_role("dialog", name="Beside exhibit 1")
    expect(chosen.get_by_role("button", name=re.compile("^1"))).to_have_count(0)
    chosen.get_by_role("button", name=re.compile("^2")).click()
    expect(heading).to_have_text(["Exhibit 1", "Exhibit 2"])
    first, second = (page.get_by_role("img", name=f"Exhibit {n}").bounding_box() for n in (1, 2))
    assert first["x"] + first["width"] <= second["x"]
    pointer = page.locator('[data-part="pointer"]')
    page.keyboard.press("a")
    for _ in range(8):
        page.keyboard.press("Shift+ArrowRight")
    assert pointer.bounding_box()["x"] > second["x"]
    page.keyboard.press("a")
    assert barriers(page, "exhibits/present.html") == []
    page.keyboard.press("PageDown")
    expect(heading).to_have_text(["Exhibit 2"])
    page.keyboard.press("PageUp")

    # The magnifier holds the large copy, three times as large, at the place under it.
    glass = page.locator('[data-part="lens"]')
    page.keyboard.press("g")
    large = glass.locator("img")
    expect(large).to_have_attribute("src", re.compile("^blob:"))
    picture = page.get_by_role("img", name="Exhibit 1").bounding_box()
    scale = min(picture["width"] / SIZE[0], picture["height"] / SIZE[1])
    left = picture["x"] + (picture["width"] - SIZE[0] * scale) / 2
    top = picture["y"] + (picture["height"] - SIZE[1] * scale) / 2
    page.mouse.move(left + 300 * scale, top + 400 * scale)
    box, inside = glass.bounding_box(), large.bounding_box()
    assert inside["width"] == pytest.approx(3 * SIZE[0] * scale, rel=0.01)
    assert inside["x"] + 300 * 3 * scale == pytest.approx(box["x"] + box["width"] / 2, abs=2)
    page.keyboard.press("Shift+ArrowLeft")
    assert glass.bounding_box()["x"] < box["x"]
    # Covered, nothing of it is left anywhere.
    page.keyboard.press("h")
    expect(glass).to_be_hidden()
    expect(large).not_to_have_attribute("src", re.compile("."))
    expect(page.get_by_role("img")).to_have_count(0)


def test_a_mark_is_drawn_by_hand_and_by_keys_and_kept_only_when_asked(page, live_server, trial):
    # The device's clock is two minutes behind the office's.
    page.route(re.compile("/present/$"), a_later_office, times=1)
    present(page, live_server, trial)
    page.keyboard.press("h")
    said = page.locator("#said p").last
    drawn = page.locator('[data-part="marks"] > .mark-line')
    tools = page.get_by_role("group", name="Drawing")
    picture = page.get_by_role("img", name="Exhibit 1").bounding_box()
    scale = min(picture["width"] / SIZE[0], picture["height"] / SIZE[1])
    left = picture["x"] + (picture["width"] - SIZE[0] * scale) / 2
    top = picture["y"] + (picture["height"] - SIZE[1] * scale) / 2

    def at(across: float, down: float) -> tuple[float, float]:
        return left + across * SIZE[0] * scale, top + down * SIZE[1] * scale

    page.keyboard.press("d")
    tools.get_by_role("button", name="Circle").click()
    page.mouse.move(*at(0.25, 0.5))
    page.mouse.down()
    page.mouse.move(*at(0.5, 0.75), steps=3)
    page.mouse.up()
    expect(drawn).to_have_count(1)
    # A press that goes nowhere draws nothing; an arrow by keys, and the last stroke taken back.
    page.mouse.click(*at(0.3, 0.6))
    expect(drawn).to_have_count(1)
    tools.get_by_role("button", name="Arrow").click()
    for key in ("Enter", "Shift+ArrowRight", "Enter"):
        page.keyboard.press(key)
    expect(drawn).to_have_count(2)
    page.keyboard.press("Backspace")
    expect(drawn).to_have_count(1)
    # It lasts while it is covered, until the next exhibit; nobody asked to keep it.
    for key in ("h", "h"):
        page.keyboard.press(key)
    expect(drawn).to_have_count(1)
    for key in ("PageDown", "PageUp"):
        page.keyboard.press(key)
    expect(drawn).to_have_count(0)
    assert not CourtMark.objects.exists()

    page.mouse.move(*at(0.25, 0.5))
    page.mouse.down()
    page.mouse.move(*at(0.5, 0.75), steps=3)
    page.mouse.up()
    page.keyboard.press("k")
    page.get_by_role("dialog", name="Keep this mark").get_by_text("The witness").click()
    expect(said).to_have_text(re.compile(r"^Kept in the record: marked in court by the witness, "))
    mark = CourtMark.objects.get()
    assert (mark.marked_by, mark.exhibit.number, mark.redaction) == ("witness", "1", None)
    assert timedelta(seconds=60) < mark.marked_at - mark.created_at < timedelta(seconds=121)
    [stroke] = mark.strokes
    assert stroke["tool"] == "arrow"
    assert stroke["points"] == [
        pytest.approx([0.25, 0.5], abs=0.01),
        pytest.approx([0.5, 0.75], abs=0.01),
    ]
    # What is kept already is not kept twice.
    page.keyboard.press("k")
    expect(said).to_have_text("There is nothing drawn that is not kept.")
    page.keyboard.press("Escape")
    expect(tools).to_be_hidden()
    page.keyboard.press("Escape")
    page.get_by_role("link", name="Exhibit 1", exact=True).click()
    expect(page.get_by_text("Marked in court by the witness, ")).to_be_visible()
    expect(page.get_by_role("img", name="What was drawn")).to_be_visible()


def test_exhibits_in_two_windows_go_on_without_a_connection(page, live_server, complaints):
    vasko = make_staff(Role.PATHOLOGIST, name="Dr. I. Vasko")
    case = make_case(by=vasko)
    trial = make_set(vasko, case)
    for number in range(1, EXHIBITS + 1):
        make_exhibit(vasko, trial, make_photograph(vasko, case, seed=number))
    second = trial.exhibits.get(number="2").photograph
    link_contusion(vasko, case, second)
    redaction = make_redaction(vasko, second)
    # A picture of either size that does not come at first is asked for again.
    missed = []

    def miss(route: Route) -> None:
        missed.append(route.request.url)
        route.abort()

    for size in ("screen", "large"):
        page.route(re.compile(f"/{size}/$"), miss, times=1)
    present(page, live_server, trial)
    assert len(missed) == 2
    beside = page.context.new_page()
    beside.goto(f"/cases/{case.pk}/exhibits/{trial.pk}/present/notes/")
    here = beside.get_by_role("heading", level=1)
    court = page.get_by_role("heading", level=1)
    seen = beside.locator('[data-part="seen"]')
    expect(seen).to_have_text("The court sees nothing: the screen is black.")
    expect(beside.locator('[data-part="loaded"]')).to_contain_text("All pictures loaded")
    assert barriers_in_both(beside, "exhibits/court_notes.html") == []

    page.context.set_offline(True)
    beside.get_by_role("button", name="Show to the court").click()
    expect(court).to_have_text("Exhibit 1")
    numbers = ["Exhibit 1"]
    for _ in range(EXHIBITS - 1):
        page.keyboard.press("PageDown")
        numbers.append(court.inner_text())
    assert numbers == [f"Exhibit {number}" for number in range(1, EXHIBITS + 1)]
    widths = "[...document.images].filter((one) => one.alt).map((one) => one.naturalWidth)"
    assert page.evaluate(widths) == [160] * EXHIBITS
    expect(here).to_have_text(f"Exhibit {EXHIBITS} {EXHIBITS} of {EXHIBITS}")
    expect(seen).to_have_text(f"The court sees exhibit {EXHIBITS}.")
    expect(beside.get_by_text("This is the last one.")).to_be_visible()
    # The witness's window leads, too, and has what the court's screen never has.
    page.keyboard.press("Home")
    expect(here).to_have_text(f"Exhibit 1 1 of {EXHIBITS}")
    beside.keyboard.press("PageDown")
    expect(court).to_have_text("Exhibit 2")
    expect(beside.get_by_role("heading", name="4 Contusion")).to_be_visible()
    expect(beside.get_by_text("Right chest. Injury")).to_be_visible()
    for words in ("Right chest", "Next exhibit", "Measured in it"):
        assert words not in page.content()

    # A mark that is kept now waits on this device, and leaving asks first.
    for key in ("d", "Enter", "Shift+ArrowRight", "Enter", "k"):
        page.keyboard.press(key)
    page.get_by_role("button", name="Counsel").click()
    expect(page.get_by_text("One entry is kept on this device")).to_be_attached()
    for key in ("Escape", "Escape"):
        page.keyboard.press(key)
    expect(page.get_by_text("End again to leave.")).to_be_visible()
    # Nothing that is said of the pictures later stands in place of the warning.
    page.evaluate("""() => {
        const cell = document.querySelector('[data-part="cell"]');
        delete cell.dataset.came;
        cell.querySelector('[data-part="picture"]').dispatchEvent(new Event("load"));
    }""")
    expect(page.get_by_text("End again to leave.")).to_be_visible()
    assert not CourtMark.objects.exists()

    # The office has it, but its first answer is lost on the way: it is sent again, and is one.
    sent = []

    def lose(route):
        sent.append(route.fetch().status)
        page.context.clear_cookies(name=re.compile("^saved-"))
        route.abort()

    keeps = re.compile(r"/marks/$")
    page.route(keeps, lose, times=1)
    with page.expect_event("requestfailed", lambda one: keeps.search(one.url)):
        page.context.set_offline(False)
    # Answered after it: what was to be done with the loss is done.
    page.evaluate("fetch('/health/live/')")
    with page.expect_response(keeps):
        page.evaluate("window.dispatchEvent(new Event('online'))")
    expect(page.locator("#said p").last).to_have_text("What was kept on this device is sent.")
    assert sent == [201]
    mark = CourtMark.objects.get()
    assert (mark.marked_by, mark.redaction) == ("counsel", redaction)
    assert page.evaluate("Object.keys(localStorage)") == []

    # Either may be reloaded: both are where they were, and the court sees nothing unasked.
    page.reload()
    expect(seen).to_have_text("The court sees nothing: the screen is black.")
    expect(court).to_have_text(["No exhibit is shown"])
    beside.reload()
    expect(here).to_have_text(f"Exhibit 2 2 of {EXHIBITS}")
    page.keyboard.press("h")
    expect(court).to_have_text("Exhibit 2")
    complaints.clear()  # the browser notes on its console that it had no connection
