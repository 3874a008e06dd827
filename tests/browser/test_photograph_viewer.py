"""Looking closely in a browser: the grid by keys, zoom to points, outlines, side by side."""

from __future__ import annotations

import io
from typing import Any

import pytest
from django.core.cache import cache
from django.urls import reverse
from PIL import Image
from playwright.sync_api import Locator, Page, expect

from cases.models import Case
from evidence.photographs import actions, tasks, tile_tasks
from evidence.photographs.models import Photograph, PhotographFinding
from me_office.accounts.models import Staff
from me_office.accounts.roles import Role
from me_office.audit.models import AccessEvent
from tests.browser.visitor import barriers, enter, seen
from tests.builders import make_staff
from tests.evidence.log_rows import fill_log
from tests.evidence.pictures import add, make_finding, picture_bytes

pytestmark = pytest.mark.django_db(transaction=True)
SIZE = (900, 600)
# Larger than its copy for the screen: a zoom to points can be told from an enlarged preview.
LARGE = (2400, 1600)


def address(name: str, case: Case, **keys: Any) -> str:
    return reverse(name, kwargs={"case_id": case.pk, **keys})


def striped(size: tuple[int, int]) -> bytes:
    """Black and white lines, each four points wide: gray in any smaller copy."""
    line = Image.new("L", (8, 1))
    line.putdata([0] * 4 + [255] * 4)
    buffer = io.BytesIO()
    row = Image.new("L", (size[0], 1))
    for left in range(0, size[0], 8):
        row.paste(line, (left, 0))
    row.resize(size).convert("RGB").save(buffer, "JPEG", quality=92)
    return buffer.getvalue()


@pytest.fixture
def log(vasko: Staff, case: Case) -> list[Photograph]:
    """A photograph with lines, and a second one; both show finding 1."""
    return logged(vasko, case, SIZE)


@pytest.fixture
def large(vasko: Staff, case: Case) -> Photograph:
    """The photograph with lines, of which there is more detail than a screen shows."""
    return logged(vasko, case, LARGE)[0]


def logged(vasko: Staff, case: Case, size: tuple[int, int]) -> list[Photograph]:
    cache.clear()
    finding = make_finding(case, vasko)
    made = [
        add(vasko, case, striped(size), shows="Lines", finding_ids=[finding.pk]),
        add(vasko, case, picture_bytes(4, size=SIZE), shows="Color", view="close-up",
            finding_ids=[finding.pk]),
    ]  # fmt: skip
    for photograph in made:
        tasks.derive_images(photograph_id=str(photograph.pk))
    return made


def stage_of(page: Page, number: int) -> Locator:
    return page.get_by_role("application", name=f"Photograph {number}, close view")


def shown(page: Page, number: int = 1) -> Locator:
    """The size at which a photograph is shown, in words."""
    viewer = page.locator(".viewer").filter(has=stage_of(page, number))
    return viewer.get_by_role("status", name="Size")


def contrast(page: Page) -> int:
    """The difference between the lightest and the darkest point along the middle of the stage."""
    return page.evaluate(
        """() => {
            const canvas = document.querySelector(".viewer canvas");
            const middle = Math.floor(canvas.height / 2);
            const pen = canvas.getContext("2d");
            const { data } = pen.getImageData(canvas.width / 4, middle, canvas.width / 2, 1);
            const grays = data.filter((_, place) => place % 4 === 0);
            return Math.max(...grays) - Math.min(...grays);
        }"""
    )


def open_photograph(page: Page, photograph: Photograph) -> Locator:
    page.goto(address("evidence:photograph", photograph.case, photograph_id=photograph.pk))
    stage = stage_of(page, photograph.number)
    shown_text(page, photograph.number)
    return stage


def shown_text(page: Page, number: int) -> str:
    expect(shown(page, number)).to_contain_text("%")
    return shown(page, number).inner_text()


def test_zoom_reaches_the_points_of_the_original(page, vasko, large, live_server):
    enter(page, vasko, live_server)
    tile_tasks.derive_tiles(photograph_id=str(large.pk))
    open_photograph(page, large)
    with page.expect_response("**/tiles/0/*/"):
        page.keyboard.press("1")
    expect(shown(page)).to_have_text("100 %")
    page.wait_for_function(
        """() => {
            const canvas = document.querySelector(".viewer canvas");
            const { data } = canvas.getContext("2d").getImageData(
                canvas.width / 4, canvas.height / 2, canvas.width / 2, 1);
            const grays = data.filter((_, place) => place % 4 === 0);
            return Math.max(...grays) > 240 && Math.min(...grays) < 15;
        }"""
    )
    assert contrast(page) > 225
    assert AccessEvent.objects.filter(what="photograph").count() == 1


def test_full_detail_comes_by_itself_once_it_is_made(page, vasko, large, live_server):
    enter(page, vasko, live_server)
    stage = open_photograph(page, large)
    page.keyboard.press("1")
    expect(seen(page, "Full detail is being made.")).to_be_visible()
    with page.expect_response("**/tiles/0/*/"):
        tile_tasks.derive_tiles(photograph_id=str(large.pk))
    expect(seen(page, "Full detail is being made.")).to_be_hidden()
    expect(stage).to_be_visible()


# The browser may tell that the picture is there before it tells the size of what it lies in.
PICTURE_FIRST = """const Own = ResizeObserver;
    window.ResizeObserver = class extends Own {
        constructor(told) {
            super((...sizes) => {
                document.querySelector(".viewer img").dispatchEvent(new Event("load"));
                setTimeout(() => {
                    window.toldBefore = document.querySelector('[data-part="zoom"]').textContent;
                    told(...sizes);
                }, 100);
            });
        }
    };"""


def test_no_size_is_told_before_the_stage_has_one(new_page, vasko, log, live_server):
    page = new_page(own=True)
    enter(page, vasko, live_server)
    page.add_init_script(PICTURE_FIRST)
    open_photograph(page, log[0])
    assert page.evaluate("window.toldBefore") == ""


def test_keys_enlarge_move_turn_and_fit_and_then_turn_the_page(page, vasko, log, live_server):
    enter(page, vasko, live_server)
    open_photograph(page, log[0])
    whole = shown_text(page, 1)
    page.keyboard.press("+")
    expect(shown(page)).not_to_have_text(whole)
    page.keyboard.press("ArrowRight")
    expect(page.get_by_role("heading", name="Photograph 1", exact=True)).to_be_visible()
    page.keyboard.press("0")
    expect(shown(page)).to_have_text(whole)
    page.keyboard.press("r")
    expect(shown(page)).not_to_have_text(whole)
    page.keyboard.press("Shift+R")
    expect(shown(page)).to_have_text(whole)
    page.keyboard.press("ArrowRight")
    expect(page.get_by_role("heading", name="Photograph 2", exact=True)).to_be_visible()
    log[0].refresh_from_db()
    assert log[0].version == 1


def test_the_picture_fills_the_screen_when_asked(page, vasko, log, live_server):
    enter(page, vasko, live_server)
    stage = open_photograph(page, log[0])
    before = stage.bounding_box()["width"]
    page.keyboard.press("f")
    page.wait_for_function("() => document.fullscreenElement !== null")
    expect(shown(page)).to_contain_text("%")
    box = stage.bounding_box()
    assert box["width"] > before
    assert box["height"] > 600


def test_one_key_hides_the_picture_and_shows_it_again(page, vasko, log, live_server):
    enter(page, vasko, live_server)
    stage = open_photograph(page, log[0])
    page.keyboard.press("v")
    expect(stage).to_be_hidden()
    page.keyboard.press("v")
    expect(stage).to_be_visible()


def test_who_only_reads_sees_the_cover_first_and_looking_is_noted_once(
    page, vasko, log, live_server
):
    clerk = make_staff(Role.RECORDS_CLERK)
    enter(page, clerk, live_server)
    page.goto(address("evidence:photograph", log[0].case, photograph_id=log[0].pk))
    expect(stage_of(page, 1)).to_be_hidden()
    assert not AccessEvent.objects.filter(what="photograph").exists()
    with page.expect_response("**/screen/"):
        page.keyboard.press("v")
    shown_text(page, 1)
    assert AccessEvent.objects.filter(what="photograph", actor_id=clerk.pk).count() == 1


def test_an_outline_is_drawn_with_the_mouse_and_shown(page, vasko, log, live_server):
    enter(page, vasko, live_server)
    stage = open_photograph(page, log[1])
    page.get_by_role("button", name="Outline it for finding 1").click()
    box = stage.bounding_box()
    for x, y in ((0.4, 0.4), (0.6, 0.4), (0.5, 0.6)):
        page.mouse.click(box["x"] + box["width"] * x, box["y"] + box["height"] * y)
    expect(seen(page, "An outline of finding 1, Contusion with 3 corners.")).to_be_visible()
    page.get_by_role("button", name="Save outline").click()
    expect(seen(page, "Outline of finding 1 saved.")).to_be_visible()
    drawn = page.get_by_role("img", name="Outlined: 1 Contusion")
    expect(drawn).to_be_visible()
    points = PhotographFinding.objects.get(photograph=log[1]).outline
    # The stage and this picture are both 3 to 2, so that their shares are the same.
    assert points == [[pytest.approx(x, abs=0.01), pytest.approx(y, abs=0.01)]
                      for x, y in ((0.4, 0.4), (0.6, 0.4), (0.5, 0.6))]  # fmt: skip
    # The page that answers is drawn by the server; its keys are heard once the size is told.
    shown_text(page, 2)
    page.keyboard.press("o")
    expect(page.get_by_role("button", name="Outlines")).to_have_attribute("aria-pressed", "false")


def test_a_pointer_is_set_by_keys_alone_on_a_turned_picture(page, vasko, log, live_server):
    enter(page, vasko, live_server)
    open_photograph(page, log[1])
    page.keyboard.press("r")
    page.get_by_role("button", name="Outline it for finding 1").press("Enter")
    expect(stage_of(page, 2)).to_be_focused()
    # Up on a picture turned to the right is to its left.
    for _ in range(3):
        page.keyboard.press("Shift+ArrowUp")
    page.keyboard.press("Enter")
    expect(seen(page, "A pointer at finding 1, Contusion.")).to_be_visible()
    page.keyboard.press("Enter")
    expect(seen(page, "Outline of finding 1 saved.")).to_be_visible()
    ((x, y),) = PhotographFinding.objects.get(photograph=log[1]).outline
    assert x < 0.47
    assert y == pytest.approx(0.5, abs=0.01)


def test_a_line_in_one_go_is_an_outline_and_can_be_left(page, vasko, log, live_server):
    enter(page, vasko, live_server)
    stage = open_photograph(page, log[1])
    page.get_by_role("button", name="Outline it for finding 1").click()
    box = stage.bounding_box()
    page.mouse.move(box["x"] + 100, box["y"] + 100)
    page.mouse.down()
    for x, y in ((200, 110), (220, 200), (120, 210)):
        page.mouse.move(box["x"] + x, box["y"] + y, steps=6)
    page.mouse.up()
    expect(seen(page, "An outline of finding 1, Contusion with")).to_be_visible()
    page.keyboard.press("Escape")
    expect(page.get_by_role("button", name="Save outline")).to_be_hidden()
    assert PhotographFinding.objects.get(photograph=log[1]).outline is None


def test_what_is_done_to_one_is_done_to_the_other_while_linked(page, vasko, log, live_server):
    enter(page, vasko, live_server)
    page.goto(f"{address('evidence:photographs-compare', log[0].case)}?left=1&right=2")
    before = shown_text(page, 1), shown_text(page, 2)
    stage_of(page, 1).focus()
    page.keyboard.press("+")
    expect(shown(page, 1)).not_to_have_text(before[0])
    expect(shown(page, 2)).not_to_have_text(before[1])
    page.keyboard.press("0")
    expect(shown(page, 2)).to_have_text(before[1])
    page.keyboard.press("l")
    page.keyboard.press("+")
    expect(shown(page, 1)).not_to_have_text(before[0])
    expect(shown(page, 2)).to_have_text(before[1])


def test_two_photographs_are_chosen_in_the_grid_and_the_following_ones_come(
    page, vasko, case, live_server
):
    fill_log(vasko, case, 100, make_finding(case, vasko))
    Photograph.objects.update(preview="failed")
    enter(page, vasko, live_server)
    page.goto(address("evidence:photographs", case))
    page.get_by_role("link", name="Photograph 1", exact=True).focus()
    page.keyboard.press("End")
    expect(page.get_by_role("link", name="Photograph 100", exact=True)).to_be_attached()
    page.keyboard.press("Home")
    page.keyboard.press("c")
    expect(seen(page, "Photograph 1 is selected.")).to_be_visible()
    page.keyboard.press("ArrowRight")
    page.keyboard.press("c")
    expect(page.get_by_role("heading", name="Photographs 1 and 2")).to_be_visible()


def test_without_scripts_the_picture_and_its_outlines_are_there(new_page, vasko, log, live_server):
    link = PhotographFinding.objects.get(photograph=log[1])
    actions.outline_finding(
        vasko, case_id=link.case_id, link_id=link.pk, version=1, entry={"outline": [[0.5, 0.5]]}
    )
    page = new_page(java_script_enabled=False)
    enter(page, vasko, live_server)
    page.goto(address("evidence:photograph", log[1].case, photograph_id=log[1].pk))
    expect(page.get_by_role("img", name="Close-up, chest, Color")).to_be_visible()
    expect(page.get_by_role("img", name="Outlined: 1 Contusion")).to_be_visible()


def test_grid_viewer_series_and_side_by_side_keep_the_accessibility_rules(
    page, vasko, log, live_server
):
    for photograph in log:
        link = PhotographFinding.objects.get(photograph=photograph)
        actions.outline_finding(
            vasko, case_id=link.case_id, link_id=link.pk, version=1,
            entry={"outline": [[0.2, 0.2], [0.6, 0.2], [0.4, 0.6]]},
        )  # fmt: skip
    enter(page, vasko, live_server)
    case = log[0].case
    one = address("evidence:photograph", case, photograph_id=log[0].pk)
    compared = f"{address('evidence:photographs-compare', case)}?left=1&right=2"
    for where, template in {
        address("evidence:series", case): "evidence/photograph_series.html",
        compared: "evidence/photographs_compare.html",
        one: "evidence/photograph.html",
    }.items():
        page.goto(where)
        assert barriers(page, template) == []
    page.get_by_role("button", name="Redraw outline for finding 1").click()
    assert barriers(page, "evidence/photograph.html") == []
