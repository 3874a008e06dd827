"""Exhibits in a browser: drawing what is hidden, and the courtroom screen by keys alone."""

from __future__ import annotations

import io
import re

import pytest
from PIL import Image
from playwright.sync_api import expect

from cases.exhibits import burning, tasks
from cases.exhibits.actions import compose_exhibit, move_exhibit
from cases.exhibits.models import Redaction, RedactionRequest
from evidence import store
from evidence.measuring.drawing import line_sizes
from evidence.measuring.rules import condition_words
from evidence.photographs.tasks import derive_images
from me_office.accounts.models import Staff
from me_office.accounts.roles import Role
from tests.browser.visitor import barriers, barriers_in_both, enter, seen
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


@pytest.fixture
def trial():
    """A set of three exhibits, one with a finding and one redacted."""
    vasko = make_staff(Role.PATHOLOGIST, name="Dr. I. Vasko")
    case = make_case(by=vasko)
    shot = [make_photograph(vasko, case, seed) for seed in (1, 2, 3)]
    link_contusion(vasko, case, shot[0])
    made = make_set(vasko, case)
    for photograph in shot:
        make_exhibit(vasko, made, photograph)
    make_redaction(vasko, shot[1])
    return made


def signed_in(page, live_server):
    enter(page, make_staff(Role.RECORDS_CLERK, name="R. Ostrander"), live_server)
    return page


def test_a_court_is_shown_exhibits_by_keys_and_nothing_else(page, live_server, trial):
    signed_in(page, live_server)
    root = f"/cases/{trial.case_id}/exhibits/{trial.pk}/"
    page.goto(f"{root}present/")
    shown = page.get_by_role("main")
    # Nobody asked for an exhibit yet: no press of a clicker's next brings one.
    hint = page.get_by_text("Press H to show the exhibit")
    expect(hint).to_be_visible()
    for key in ("PageDown", "n", "Enter", "ArrowRight"):
        page.keyboard.press(key)
    expect(page.get_by_role("heading")).to_have_text(["No exhibit is shown"])
    expect(page.get_by_role("img")).to_have_count(0)
    page.keyboard.press("h")
    expect(page.get_by_role("heading", name="Exhibit 1")).to_be_visible()
    expect(seen(page, "Contusion: a bruise.")).to_be_visible()
    assert barriers(page, "exhibits/present.html") == []
    page.keyboard.press("n")
    expect(page.get_by_role("heading", name="Exhibit 2")).to_be_visible()
    expect(page.get_by_role("heading", name="Exhibit 1")).to_be_hidden()
    words = shown.inner_text()
    assert set(words.split("\n")) - {""} == {
        "Exhibit 2", "photograph 2", "Right side of the back, 2",
        "2 of 3",
    }  # fmt: skip
    pointer = page.locator('[data-part="pointer"]')
    page.keyboard.press("a")
    before = pointer.bounding_box()
    page.keyboard.press("ArrowRight")
    page.keyboard.press("Shift+ArrowDown")
    after = pointer.bounding_box()
    assert after["x"] > before["x"] and after["y"] > before["y"]
    expect(page.get_by_role("heading", name="Exhibit 2")).to_be_visible()
    picture = page.get_by_role("img", name="Exhibit 2: Right side of the back, 2")
    small = picture.bounding_box()["width"]
    page.keyboard.press("z")
    expect(picture).to_have_attribute("src", re.compile("^blob:"))
    assert picture.bounding_box()["width"] == pytest.approx(2 * small, rel=0.01)
    page.keyboard.press("z")
    page.keyboard.press("z")
    page.mouse.move(400, 300)
    steered = pointer.bounding_box()
    assert abs(steered["x"] + steered["width"] / 2 - 400) < 2
    page.keyboard.press("h")
    expect(hint).to_be_visible()
    page.keyboard.press("n")
    page.keyboard.press("h")
    expect(page.get_by_role("heading", name="Exhibit 2")).to_be_visible()
    page.keyboard.press("p")
    expect(page.get_by_role("heading", name="Exhibit 1")).to_be_visible()
    page.keyboard.press("Escape")
    expect(page.get_by_role("heading", name="Trial, county against Doe")).to_be_visible()


def swipe(page, by: int) -> None:
    """One finger across the middle of the screen."""
    fingers = page.context.new_cdp_session(page)
    across, down = 400, 600
    send = "Input.dispatchTouchEvent"
    fingers.send(send, {"type": "touchStart", "touchPoints": [{"x": across, "y": down}]})
    for part in (0.5, 1):
        at = {"x": across + by * part, "y": down + 5}
        fingers.send(send, {"type": "touchMove", "touchPoints": [at]})
    fingers.send(send, {"type": "touchEnd", "touchPoints": []})


def test_a_court_is_shown_exhibits_by_buttons_that_go_by_themselves_and_by_fingers(
    new_page, live_server, trial
):
    page = new_page(viewport={"width": 820, "height": 1180}, has_touch=True)
    signed_in(page, live_server)
    page.clock.install()
    address = f"/cases/{trial.case_id}/exhibits/{trial.pk}/present/"
    page.goto(address)
    bar = page.get_by_role("region", name="Controls")
    said = page.locator("#said p").last
    heading = page.get_by_role("heading", level=1)

    def press(name: str) -> None:
        bar.get_by_role("button", name=name, exact=True).click()

    # Nothing is on the screen that nobody asked for; a movement brings the buttons.
    expect(bar).to_have_css("opacity", "0")
    page.mouse.move(300, 700)
    page.mouse.move(340, 720)
    expect(bar).to_have_css("opacity", "1")
    expect(heading).to_have_text(["No exhibit is shown"])
    press("Show")
    expect(heading).to_have_text("Exhibit 1")
    buttons = bar.get_by_role("button").all()
    assert len(buttons) == 14
    assert all(
        min(one.bounding_box()[side] for side in ("width", "height")) >= 44 for one in buttons
    )
    assert barriers(page, "exhibits/present.html") == []
    page.mouse.move(300, 700)
    page.clock.run_for(4500)
    expect(bar).to_have_css("opacity", "0")

    # Tab brings them too, and they stay while one has the focus.
    for _ in range(3):
        page.keyboard.press("Tab")
    expect(bar.get_by_role("button", name="Next")).to_be_focused()
    page.clock.run_for(20_000)
    expect(bar).to_have_css("opacity", "1")
    page.keyboard.press("Enter")
    expect(heading).to_have_text("Exhibit 2")
    page.clock.run_for(500)
    expect(said).to_have_text("Exhibit 2. Right side of the back, 2. 2 of 3.")
    # An arrow on a button turns nothing over.
    page.keyboard.press("ArrowRight")
    expect(heading).to_have_text("Exhibit 2")
    page.keyboard.press("Escape")
    expect(bar).to_have_css("opacity", "0")

    # A hidden screen names nothing, a clicker turns nothing over behind it; the list chooses.
    page.keyboard.press("b")
    expect(page.get_by_role("heading")).to_have_text(["No exhibit is shown"])
    expect(page.get_by_text("Press H to show the exhibit")).to_have_css("opacity", "0")
    page.keyboard.press("PageDown")
    page.clock.run_for(500)
    expect(said).to_have_text("The screen is still hidden.")
    page.keyboard.press("l")
    chosen = page.get_by_role("dialog", name="Exhibits")
    # The caption is for who listens: there is room for the number alone.
    third = chosen.get_by_role("button", name="3 Right side of the back, 3")
    assert third.bounding_box()["width"] < 50
    assert third.locator(".hidden-words").bounding_box()["width"] <= 1
    third.click()
    page.clock.run_for(500)
    expect(said).to_have_text("3 of 3. The screen is still hidden.")
    page.mouse.move(500, 600)
    expect(bar).to_have_css("opacity", "1")
    press("Show")
    expect(heading).to_have_text("Exhibit 3")

    # After a click the keys are the picture's again, and the buttons go.
    press("Exhibits")
    page.keyboard.press("Escape")
    page.mouse.move(500, 700)
    page.clock.run_for(4500)
    expect(bar).to_have_css("opacity", "0")

    swipe(page, 200)
    expect(heading).to_have_text("Exhibit 2")
    swipe(page, 30)
    swipe(page, -200)
    expect(heading).to_have_text("Exhibit 3")
    picture = page.get_by_role("img", name="Exhibit 3")
    small = picture.bounding_box()["width"]
    # A finger that calls the buttons presses none that was not to be seen.
    page.clock.run_for(4500)
    expect(bar).to_have_css("opacity", "0")
    end = bar.get_by_role("button", name="End").bounding_box()
    page.touchscreen.tap(end["x"] + 10, end["y"] + 10)
    expect(bar).to_have_css("opacity", "1")
    expect(heading).to_have_text("Exhibit 3")
    press("Zoom in")
    assert picture.bounding_box()["width"] == pytest.approx(2 * small, rel=0.01)
    # Enlarged, a finger moves the picture and turns nothing over.
    before = picture.bounding_box()["x"]
    swipe(page, 200)
    expect(heading).to_have_text("Exhibit 3")
    assert picture.bounding_box()["x"] == pytest.approx(before + 200, abs=2)
    press("Fit")
    assert picture.bounding_box()["width"] == pytest.approx(small, rel=0.01)

    # Without single-key shortcuts the clicker's own keys and the buttons are left.
    Staff.objects.update(single_keys=False)
    page.goto(address)
    for key in ("n", "h"):
        page.keyboard.press(key)
    expect(heading).to_have_text(["No exhibit is shown"])
    page.keyboard.press("b")
    expect(heading).to_have_text("Exhibit 1")
    page.keyboard.press(".")
    expect(heading).to_have_text(["No exhibit is shown"])
    page.keyboard.press(".")
    page.keyboard.press("PageDown")
    expect(heading).to_have_text("Exhibit 2")
    page.mouse.move(300, 700)
    page.mouse.move(340, 720)
    press("Keys")
    keys = page.get_by_role("dialog", name="Keys on this page")
    expect(keys).to_contain_text("Page Down")
    expect(keys).not_to_contain_text("show or hide")
    page.keyboard.press("Escape")
    press("End")
    expect(page.get_by_role("heading", name="Trial, county against Doe")).to_be_visible()


def test_a_measured_line_is_shown_when_a_key_asks_for_it(page, live_server):
    vasko = make_staff(Role.PATHOLOGIST, name="Dr. I. Vasko")
    photograph = photograph_with_scale(vasko, make_case(by=vasko))
    derive_images(photograph_id=str(photograph.pk))
    size = measured(vasko, photograph)
    made = make_set(vasko, photograph.case)
    make_exhibit(vasko, made, photograph)
    signed_in(page, live_server)
    page.goto(f"/cases/{made.case_id}/exhibits/{made.pk}/present/")
    assert size.short_words.startswith("3.0 cm (")
    page.keyboard.press("h")
    words = seen(page, size.short_words, exact=True)
    expect(words).to_be_hidden()
    page.keyboard.press("m")
    expect(words).to_be_visible()
    # Up to which tilt a straight scale's limits hold stands beside them, before the court too.
    condition = condition_words(size.shown)
    assert condition.startswith("tilt up to ")
    expect(seen(page, condition, exact=True)).to_be_visible()
    picture = page.get_by_role("img", name=re.compile("^Exhibit 1")).bounding_box()
    placed = words.bounding_box()
    # The line runs from (300, 400) to (600, 400): its words begin just beyond its right end.
    width, height = SIZE
    scale = min(picture["width"] / width, picture["height"] / height)
    left = picture["x"] + (picture["width"] - width * scale) / 2
    letter = line_sizes(width, height)["font_size"]
    assert 0 < placed["x"] - (left + 600 * scale) < 2 * letter * scale
    page.keyboard.press("m")
    expect(words).to_be_hidden()
    assert "in the plane of the scale" not in page.get_by_role("main").inner_text()


def test_exhibits_are_ordered_by_buttons_and_by_dragging(page, live_server, trial):
    signed_in(page, live_server)
    page.goto(f"/cases/{trial.case_id}/exhibits/{trial.pk}/")
    assert barriers(page, "exhibits/set.html") == []
    numbers = page.locator("main").get_by_role("link", name=re.compile(r"^Exhibit \d"))
    said = page.locator("#said p").last
    up = page.get_by_role("button", name="Move exhibit 3 up")
    up.press("Enter")
    expect(said).to_have_text("Exhibit 3 is moved to place 2.")
    expect(up).to_be_focused()
    expect(numbers).to_have_text(["Exhibit 1", "Exhibit 3", "Exhibit 2"])
    # At the top there is no way up: the focus goes on to the button that is left.
    up.press("Enter")
    expect(page.get_by_role("button", name="Move exhibit 3 down")).to_be_focused()
    rows = page.locator("main").get_by_role("listitem")

    def hold(number: int) -> None:
        grip = (
            rows.filter(has_text=f"Exhibit {number}").locator('[data-part="grip"]').bounding_box()
        )
        page.mouse.move(grip["x"] + 20, grip["y"] + 20)
        page.mouse.down()

    def to_the_top() -> None:
        box = rows.first.bounding_box()
        page.mouse.move(box["x"] + 300, box["y"] + 8, steps=4)

    hold(2)
    to_the_top()
    page.keyboard.press("Escape")
    page.mouse.up()
    expect(numbers).to_have_text(["Exhibit 3", "Exhibit 1", "Exhibit 2"])
    hold(2)
    to_the_top()
    page.mouse.up()
    expect(said).to_have_text("Exhibit 2 is moved to place 1.")
    page.reload()
    expect(numbers).to_have_text(["Exhibit 2", "Exhibit 3", "Exhibit 1"])
    # Somebody else was faster: the page shows the order that stands, and offers this one's.
    made = [trial.exhibits.get(number=number) for number in "123"]
    move_exhibit(
        made[0].created_by, case_id=trial.case_id, exhibit_id=made[0].pk,
        version=made[0].version, place=1,
    )  # fmt: skip
    page.get_by_role("button", name="Move exhibit 3 up").press("Enter")
    expect(page.get_by_text("Its order is now 1, 2, 3. Your order was 3, 2, 1.")).to_be_visible()
    expect(numbers).to_have_text(["Exhibit 1", "Exhibit 2", "Exhibit 3"])
    page.get_by_role("button", name="Use my order instead").click()
    expect(numbers).to_have_text(["Exhibit 3", "Exhibit 2", "Exhibit 1"])


def test_a_region_is_drawn_with_the_mouse_and_another_with_keys(new_page, live_server, trial):
    page = new_page(viewport={"width": 1024, "height": 1366})
    ostrander = make_staff(Role.RECORDS_CLERK, name="R. Ostrander")
    enter(page, ostrander, live_server)
    photograph = trial.exhibits.get(number="3").photograph
    address = f"/cases/{trial.case_id}/exhibits/photographs/{photograph.pk}/redact/"
    page.goto(address)
    stage = page.get_by_role("application")
    box = stage.bounding_box()

    def at(across, down):
        return box["x"] + box["width"] * across, box["y"] + box["height"] * down

    page.mouse.move(*at(0.25, 0.25))
    page.mouse.down()
    page.mouse.move(*at(0.5, 0.5), steps=3)
    page.mouse.up()
    expect(seen(page, "Region 1: rectangle, 40 × 30 px")).to_be_visible()
    stage.focus()
    page.keyboard.press("Shift+ArrowDown")
    page.keyboard.press("Enter")
    page.keyboard.press("Shift+ArrowRight")
    page.keyboard.press("Shift+ArrowDown")
    page.keyboard.press("Enter")
    expect(seen(page, "Region 2: rectangle, 10 × 10 px")).to_be_visible()
    page.get_by_role("button", name="Remove region 2").click()
    regions = page.get_by_role("list", name="Regions").get_by_role("listitem")
    said = page.locator("#said p").last
    expect(said).to_have_text("Region 2 removed. 1 region left.")
    # Without a drag: two clicks, with the first corner taken back once; or numbers.
    page.mouse.click(*at(0.75, 0.75))
    expect(said).to_have_text("Corner 1 set at 120, 90 px. Now set the corner across.")
    page.keyboard.press("Escape")
    page.mouse.click(*at(0.1, 0.1))
    page.mouse.click(*at(0.2, 0.2))
    expect(regions.nth(1)).to_contain_text("rectangle, 16 × 12 px")
    for name, value in {"From the left": 1, "From the top": 2, "Width": 30, "Height": 20}.items():
        page.get_by_label(name).fill(str(value))
    page.get_by_label("Height").press("Enter")
    expect(said).to_have_text("Region 3 drawn: rectangle, 30 × 20 px, covered.")
    page.get_by_role("button", name="Undo").click()
    expect(regions).to_have_count(2)
    page.get_by_role("button", name="Redo").click()
    expect(regions).to_have_count(3)
    stage.focus()
    page.keyboard.press("Control+z")
    page.keyboard.press("Backspace")
    expect(said).to_have_text("Taken back. 1 region. 1 of a shape's corners set.")
    page.keyboard.press("Backspace")
    expect(regions).to_have_text([re.compile("rectangle, 40 × 30 px")])
    page.get_by_role("button", name="Preview the copy").click()
    expect(seen(page, "This is how the copy will look.")).to_be_visible()
    assert barriers(page, "exhibits/redact.html") == []
    page.get_by_label("Reason").fill("Badge number of a bystander")
    # A lost sign-in keeps what was drawn, too.
    page.context.clear_cookies(name="sessionid")
    page.get_by_role("button", name="Make the redacted copy").click()
    expect(page.get_by_role("heading", name="Sign in")).to_be_visible()
    enter(page, ostrander, live_server)
    page.goto(address)
    expect(regions).to_have_text([re.compile("rectangle, 40 × 30 px")])
    expect(page.get_by_label("Reason")).to_have_value("Badge number of a bystander")
    page.get_by_role("button", name="Make the redacted copy").click()
    waiting = page.get_by_role("progressbar", name="Redacted copy of photograph 3 is being made")
    expect(waiting).to_be_visible()
    assert barriers(page, "exhibits/sets.html") == []
    # The page asks by itself until the worker is done.
    tasks.make_redaction(request_id=str(RedactionRequest.objects.get(photograph=photograph).pk))
    download = page.get_by_role("link", name="Download the redacted copy of photograph 3")
    expect(download).to_be_visible()
    expect(waiting).to_be_hidden()
    made = Redaction.objects.get(photograph=photograph)
    assert made.regions == [
        {"shape": "rectangle", "manner": "cover", "points": [[40, 30], [80, 60]]}
    ]
    with store.open_stored(made.file) as file:
        copy = Image.open(io.BytesIO(file.read()))
    assert copy.size == (160, 120)
    assert copy.getpixel((60, 45)) == pytest.approx(burning.COVER_COLOR, abs=2)


def test_the_pages_of_exhibits_are_free_of_what_axe_finds(new_page, live_server, trial):
    page = new_page(viewport={"width": 820, "height": 1180})
    signed_in(page, live_server)
    root = f"/cases/{trial.case_id}/exhibits/"
    first, second, _ = trial.exhibits.order_by("position")
    compose_exhibit(
        first.created_by, case_id=trial.case_id, exhibit_id=first.pk, version=1,
        photographs=[first.photograph_id, second.photograph_id],
    )  # fmt: skip
    one = f"{trial.pk}/exhibits/{first.pk}/"
    for path, template in {
        "": "exhibits/sets.html",
        "new/": "exhibits/set_form.html",
        f"{trial.pk}/choose/": "exhibits/choose.html",
        f"{one}photographs/": "exhibits/compose.html",
        f"{one}rulings/new/": "exhibits/ruling.html",
        f"{trial.pk}/numbers/?before=D-&first=14&digits=1": "exhibits/numbers.html",
        f"{trial.pk}/pdf/": "exhibits/pdfs.html",
        f"{trial.pk}/contact-sheet/": "exhibits/contact_sheet.html",
    }.items():
        page.goto(root + path)
        assert barriers(page, template) == []
    # These two have all that the sheet of exhibits draws in the frame's colors; which of those are
    # read on which, in the light and the dark, is held in tests/shell/test_contrast.py.
    for path, template in ((f"{trial.pk}/", "exhibits/set.html"), (one, "exhibits/exhibit.html")):
        page.goto(root + path)
        assert barriers_in_both(page, template) == []
