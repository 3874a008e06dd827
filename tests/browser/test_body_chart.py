"""The body chart in a browser: marks by mouse and by keys, and a lost connection."""

from __future__ import annotations

import json
import re
from random import Random
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from django.test import Client
from playwright.sync_api import BrowserContext, Page, expect

from findings.body.picking import pick
from findings.models import Examination, Finding, LayerFinding
from findings.placing import middle, picked_by_mark
from me_office.accounts.models import Staff
from me_office.accounts.roles import Role
from tests.builders import make_staff
from tests.findings.builders import a_mark, fill, make_examination, make_finding

pytestmark = pytest.mark.django_db(transaction=True)
STANDARDS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]
LAPTOP = {"width": 1280, "height": 800}


def enter(context: BrowserContext, staff: Staff, server: Any) -> None:
    client = Client()
    client.force_login(staff)
    session = client.cookies["sessionid"].value
    context.add_cookies([{"name": "sessionid", "value": session, "url": server.url}])


@pytest.fixture
def examination() -> Examination:
    return make_examination()


@pytest.fixture
def table(page: Page, examination: Examination, live_server: Any) -> Page:
    """Return the chart of an opened examination, ready to be drawn on."""
    enter(page.context, examination.pathologist, live_server)
    open_chart(page, examination)
    return page


def open_chart(page: Page, examination: Examination, asked: str = "") -> None:
    page.goto(f"/cases/{examination.case_id}/chart/{asked}")
    ready(page)


def ready(page: Page) -> None:
    """Wait until the body's surface is there to be picked."""
    expect(page.locator("[data-widget=body-chart][data-ready]")).to_be_attached()


def chart(page: Page) -> Any:
    return page.get_by_role("application", name=re.compile("^Body chart"))


def on_screen(page: Page, u: float, v: float) -> tuple[float, float]:
    """Where a page point of the drawing lies on the screen."""
    at = page.evaluate(
        """([u, v]) => {
            const svg = document.querySelector("[role=application] svg");
            const at = new DOMPoint(u, v).matrixTransform(svg.getScreenCTM());
            return [at.x, at.y];
        }""",
        [u, v],
    )
    return at[0], at[1]


def draw(page: Page, *points: tuple[float, float]) -> None:
    page.mouse.move(*on_screen(page, *points[0]))
    page.mouse.down()
    for point in points[1:]:
        page.mouse.move(*on_screen(page, *point), steps=2)
    page.mouse.up()


def placing(page: Page) -> Any:
    return page.locator("[data-widget=placing-words]")


def record(page: Page, term: str) -> None:
    page.get_by_label("Term").fill(term)
    page.get_by_role("button", name="Record the finding").click()
    expect(page.get_by_role("heading", name=re.compile(rf"\d+ · {term}"))).to_be_visible()


def test_a_point_by_mouse_gets_the_region_that_the_server_derives(table: Page) -> None:
    table.get_by_role("button", name="Point").click()
    table.mouse.click(*on_screen(table, -72.0, 290.0))
    expect(placing(table)).to_have_attribute("data-region", re.compile("."))
    seen = placing(table).get_attribute("data-region")
    record(table, "Contusion")
    finding = Finding.objects.get()
    ((u, v),) = finding.marks.get().points
    under = pick("adult_male", "anterior", u, v)
    assert under is not None
    assert seen == finding.region == finding.marks.get().region == under.region
    assert finding.place_source == "derived"


def test_a_point_by_keys_alone(table: Page) -> None:
    chart(table).focus()
    table.keyboard.press("p")
    for _ in range(10):
        table.keyboard.press("ArrowUp")
    table.keyboard.press("Shift+ArrowRight")
    table.keyboard.press("Enter")
    expect(table.get_by_label("Term")).to_be_focused()
    seen = placing(table).get_attribute("data-region")
    table.keyboard.type("Abrasion")
    table.keyboard.press("Enter")
    expect(table.get_by_role("heading", name="1 · Abrasion")).to_be_visible()
    assert Finding.objects.get().region == seen


def test_an_area_by_a_stroke_and_a_line_by_corners(table: Page) -> None:
    table.get_by_role("button", name="Area").click()
    draw(table, (-60, 200), (-30, 200), (-30, 240), (-60, 240))
    expect(placing(table)).to_contain_text("Area, right pectoral region")
    area = placing(table).get_attribute("data-region")
    table.get_by_role("button", name="Line").click()
    for corner in ((60, 600), (70, 640)):
        table.mouse.click(*on_screen(table, *corner))
    table.get_by_role("button", name="Finish").click()
    expect(placing(table)).to_contain_text("2 marks, the last: line")
    record(table, "Incised wound")
    kinds = list(Finding.objects.get().marks.values_list("kind", "region"))
    assert [kind for kind, _ in kinds] == ["area", "line"]
    assert Finding.objects.get().region == area


def test_an_unsaved_mark_is_taken_back_and_moved(table: Page) -> None:
    table.get_by_role("button", name="Point").click()
    table.mouse.click(*on_screen(table, -72.0, 290.0))
    expect(table.get_by_label("Term")).to_be_focused()
    chart(table).focus()
    table.keyboard.press("ArrowDown")
    ((moved,),) = [mark["points"] for mark in json.loads(marks(table))]
    assert moved[1] > 290
    table.keyboard.press("Backspace")
    assert json.loads(marks(table)) == []


def marks(page: Page) -> str:
    return page.locator("input[name=marks]").input_value()


def test_a_mark_beside_the_body_is_not_taken(table: Page) -> None:
    table.get_by_role("button", name="Point").click()
    table.mouse.click(*on_screen(table, -250.0, 60.0))
    expect(table.get_by_role("status").filter(has_text="beside the body")).to_be_attached()
    assert table.url.endswith("/chart/")


def test_views_are_turned_by_keys_and_the_keys_are_listed(table: Page) -> None:
    chart(table).focus()
    table.keyboard.press("?")
    expect(table.get_by_text("more views, the opposite view")).to_be_visible()
    table.keyboard.press("Escape")
    expect(table.get_by_text("more views, the opposite view")).to_be_hidden()
    expect(chart(table)).to_be_focused()
    table.keyboard.press("o")
    expect(table.locator('[data-view="posterior"][data-ready]')).to_be_attached()
    expect(chart(table)).to_be_focused()
    table.keyboard.press("v")
    table.keyboard.press("Tab")
    table.keyboard.press("Enter")
    expect(table.locator('[data-view="trunk_right"][data-ready]')).to_be_attached()


def test_a_hand_resting_beside_the_pen_draws_nothing(table: Page) -> None:
    table.get_by_role("button", name="Area").click()
    table.evaluate(
        """(corners) => {
            const svg = document.querySelector("[role=application] svg");
            const send = (type, [clientX, clientY], pointerId, pointerType) => {
                const more = { clientX, clientY, pointerId, pointerType, bubbles: true };
                svg.dispatchEvent(new PointerEvent(type, more));
            };
            svg.setPointerCapture = () => {};
            send("pointerdown", corners[0], 1, "pen");
            send("pointerdown", [corners[0][0] + 90, corners[0][1] + 90], 2, "touch");
            for (const corner of corners) send("pointermove", corner, 1, "pen");
            send("pointerup", [corners[0][0] + 90, corners[0][1] + 90], 2, "touch");
            send("pointerup", corners.at(-1), 1, "pen");
        }""",
        [on_screen(table, *at) for at in ((-60, 200), (-30, 200), (-30, 240), (-60, 240))],
    )
    expect(placing(table)).to_contain_text("Area, right pectoral region")


def test_another_view_keeps_what_was_typed(table: Page) -> None:
    table.get_by_role("link", name="New finding").click()
    table.get_by_label("Term").fill("Laceration")
    table.get_by_role("link", name="Head", exact=True).click()
    table.get_by_role("link", name="Back", exact=True).nth(1).click()
    expect(table.locator('[data-view="head_posterior"][data-ready]')).to_be_attached()
    expect(table.get_by_label("Term")).to_have_value("Laceration")
    table.get_by_role("button", name="Point").click()
    table.mouse.click(*on_screen(table, 0.0, 70.0))
    expect(placing(table)).to_have_attribute("data-region", re.compile("."))
    seen = placing(table).get_attribute("data-region")
    table.get_by_role("button", name="Record the finding").click()
    expect(table.get_by_role("heading", name="1 · Laceration")).to_be_visible()
    mark = Finding.objects.get().marks.get()
    assert (mark.view, mark.region) == ("head_posterior", seen)


def test_findings_are_walked_by_keys_and_chosen_on_the_chart(
    table: Page, examination: Examination
) -> None:
    make_finding(examination, term="Abrasion", marks=[a_mark()])
    make_finding(examination, term="Scar")
    open_chart(table, examination)
    chart(table).focus()
    table.keyboard.press("n")
    expect(table.get_by_role("heading", name="1 · Abrasion")).to_be_visible()
    expect(chart(table)).to_be_focused()
    table.keyboard.press("n")
    expect(table.get_by_role("heading", name="2 · Scar")).to_be_visible()
    ready(table)
    table.mouse.click(*on_screen(table, -72.0, 290.0))
    expect(table.get_by_role("heading", name="1 · Abrasion")).to_be_visible()


def test_the_next_finding_is_shown_in_the_open_view_where_it_can_be_seen(
    table: Page, examination: Examination
) -> None:
    make_finding(examination, term="Scar", marks=[a_mark(points=[[0.0, 75.0]])])
    make_finding(examination, term="Abrasion", marks=[a_mark()])
    open_chart(table, examination, "?view=head_anterior")
    chart(table).focus()
    table.keyboard.press("n")
    expect(table.get_by_role("heading", name="1 · Scar")).to_be_visible()
    expect(table.locator('[data-view="head_anterior"][data-ready]')).to_be_attached()
    table.keyboard.press("n")
    expect(table.get_by_role("heading", name="2 · Abrasion")).to_be_visible()
    expect(table.locator('[data-view="anterior"][data-ready]')).to_be_attached()


def test_a_mark_is_moved_by_keys(table: Page, examination: Examination) -> None:
    finding = make_finding(examination, marks=[a_mark()])
    open_chart(table, examination, f"?finding={finding.pk}")
    table.get_by_role("link", name="move").click()
    expect(table.get_by_role("heading", name=re.compile("Move or redraw"))).to_be_visible()
    ready(table)
    chart(table).focus()
    for _ in range(3):
        table.keyboard.press("ArrowDown")
    table.get_by_role("button", name="Save the mark").click()
    expect(table.get_by_role("heading", name="1 · Contusion")).to_be_visible()
    assert finding.marks.get().points[0][1] > 290


def test_zooming_keeps_marks_where_they_are_placed(table: Page) -> None:
    for _ in range(3):
        table.get_by_role("button", name="Zoom in").click()
    table.get_by_role("button", name="Point").click()
    table.mouse.click(*on_screen(table, 10.0, 480.0))
    record(table, "Scar")
    ((u, v),) = Finding.objects.get().marks.get().points
    assert (u, v) == (pytest.approx(10.0, abs=1), pytest.approx(480.0, abs=1))


def test_what_a_lost_connection_held_back_is_sent_once(
    table: Page, examination: Examination, complaints: list[str]
) -> None:
    finding = make_finding(examination)
    open_chart(table, examination, f"?finding={finding.pk}")
    table.get_by_role("link", name="Add a layer").click()
    table.get_by_label("Layer", exact=True).select_option("skin")
    table.get_by_label("Found").fill("not broken")
    table.context.set_offline(True)
    table.get_by_role("button", name="Save").click()
    expect(table.get_by_text("kept on this device and will be sent")).to_be_visible()
    assert not LayerFinding.objects.exists()
    table.context.set_offline(False)
    expect(table.get_by_role("cell", name="not broken")).to_be_visible()
    assert LayerFinding.objects.count() == 1
    assert table.evaluate("Object.keys(localStorage)") == []
    complaints.clear()  # the browser notes on its console that it had no connection


def test_what_was_typed_and_drawn_comes_back_after_a_reload(table: Page) -> None:
    table.get_by_role("button", name="Point").click()
    table.mouse.click(*on_screen(table, -72.0, 290.0))
    table.get_by_label("Seen as").fill("Four bands")
    expect(table.get_by_text("Kept on this device")).to_be_visible()
    table.reload()
    ready(table)
    expect(table.get_by_label("Seen as")).to_have_value("Four bands")
    expect(placing(table)).to_contain_text("Point, right")
    record(table, "Contusion")
    assert Finding.objects.get().marks.count() == 1


def test_the_chart_is_in_view_with_list_and_detail_on_a_laptop(
    new_page: Any, examination: Examination, live_server: Any
) -> None:
    page = new_page(viewport=LAPTOP)
    enter(page.context, examination.pathologist, live_server)
    finding = make_finding(examination, marks=[a_mark()])
    open_chart(page, examination, f"?finding={finding.pk}")
    for name in ("Body chart", "Findings", "Finding 1"):
        expect(page.get_by_role("region", name=name, exact=True)).to_be_in_viewport(ratio=0.95)


def test_what_is_seen_is_typed_field_by_field_and_the_button_stands_still(
    new_page: Any, examination: Examination, live_server: Any
) -> None:
    page = new_page(viewport=LAPTOP)
    enter(page.context, examination.pathologist, live_server)
    open_chart(page, examination, "../findings/new/")
    page.get_by_label("Term").fill("Contusion")
    page.get_by_text("Colour, shape, margins, pattern, vital reaction").click()
    said = {
        "Colour": "Red-purple",
        "Shape": "Oblong",
        "Margins": "Ill-defined",
        "Vital reaction": "Swelling at the edge",
    }
    for label, words in said.items():
        page.get_by_label(label).fill(words)
    expect(page.get_by_text("Kept on this device")).to_be_visible()
    # Leaving the field changes the words beside the button between press and release.
    page.get_by_role("button", name="Record the finding").click()
    expect(page.get_by_role("heading", name="1 · Contusion")).to_be_visible()
    for label, words in said.items():
        row = page.get_by_role("term").filter(has_text=re.compile(f"^{label}$")).locator("..")
        expect(row).to_contain_text(words)


@pytest.mark.parametrize(
    "screen", [LAPTOP, {"width": 820, "height": 1180}], ids=["laptop", "tablet"]
)
def test_nothing_covers_a_number_and_the_page_itself_does_not_scroll(
    new_page: Any, examination: Examination, live_server: Any, screen: dict[str, int]
) -> None:
    page = new_page(viewport=screen, has_touch=screen["width"] == 820)
    enter(page.context, examination.pathologist, live_server)
    fill(examination, 300)
    open_chart(page, examination)
    seen = page.evaluate(
        """() => {
            const boxes = [...document.querySelectorAll("[role=application] .label-box")];
            const covered = boxes.filter((box) => {
                const { x, y, width, height } = box.getBoundingClientRect();
                const top = document.elementFromPoint(x + width / 2, y + height / 2);
                return !top?.closest(".mark-label");
            });
            const tabs = document.querySelector("nav[aria-label=Views]");
            const tops = [...tabs.querySelectorAll("a, summary")]
                .filter((one) => one.checkVisibility())
                .map((one) => Math.round(one.getBoundingClientRect().top));
            const root = document.documentElement;
            return {
                covered: covered.length,
                rows: new Set(tops).size,
                over: root.scrollHeight - root.clientHeight,
            };
        }"""
    )
    assert seen == {"covered": 0, "rows": 1, "over": 0}


def test_no_page_has_a_barrier(table: Page, examination: Examination) -> None:
    finding = make_finding(examination, marks=[a_mark()], seen_as="Purple-red", timing="antemortem")
    case = f"/cases/{examination.case_id}"
    table.emulate_media(reduced_motion="reduce")
    for path in (
        f"{case}/chart/?finding={finding.pk}",
        f"{case}/chart/?view=head_left",
        f"{case}/chart/?view=skull_left",
        f"{case}/chart/print/",
        f"{case}/postmortem/",
        f"{case}/findings/{finding.pk}/paths/",
        f"{case}/findings/new/",
        f"{case}/findings/{finding.pk}/",
        f"{case}/findings/{finding.pk}/layers/",
        f"{case}/findings/{finding.pk}/void/",
        f"{case}/examination/",
        f"{case}/organs/",
        "/findings/terms/",
    ):
        table.goto(path)
        table.wait_for_load_state("networkidle")
        assert barriers(table, STANDARDS) == [], path
        # The other colours are all that the dark page has of its own.
        table.emulate_media(color_scheme="dark")
        assert barriers(table, ["color-contrast"]) == [], f"{path}, dark"
        table.emulate_media(color_scheme="light")


def barriers(page: Page, rules: list[str]) -> list[Any]:
    """What axe finds against rules or sets of rules, with where."""
    results = Axe().run(page, options={"runOnly": rules, "resultTypes": ["violations"]})
    return [
        (one["id"], [node["html"][:120] for node in one["nodes"]][:3])
        for one in results.response["violations"]
    ]


def test_an_entrance_and_its_exit_are_drawn_in_two_views_under_one_number(table: Page) -> None:
    table.get_by_role("button", name="Pair").click()
    table.mouse.click(*on_screen(table, -72.0, 290.0))
    expect(placing(table)).to_contain_text("Now touch the far end")
    ready(table)
    table.get_by_role("link", name="Back", exact=True).first.click()
    expect(table.locator('[data-view="posterior"][data-ready]')).to_be_attached()
    table.mouse.click(*on_screen(table, 60.0, 300.0))
    expect(placing(table)).to_contain_text("2 marks, the last: far end")
    table.get_by_label("The far end").select_option("recovered")
    record(table, "Gunshot wound of entrance")
    marks_there = Finding.objects.get().marks.order_by("end").values_list("end", "view")
    assert list(marks_there) == [("entrance", "anterior"), ("recovered", "posterior")]
    expect(table.locator(".label-number").get_by_text("1b", exact=True).first).to_be_attached()


def test_an_area_is_sized_and_a_layer_is_opened_by_keys(
    table: Page, examination: Examination
) -> None:
    table.get_by_role("button", name="Area").click()
    draw(table, (-60, 200), (-30, 200), (-30, 240), (-60, 240))
    expect(table.get_by_label("Term")).to_be_focused()
    before = width_of(json.loads(marks(table))[0])
    chart(table).focus()
    table.keyboard.press("]")
    assert width_of(json.loads(marks(table))[0]) > before
    table.keyboard.press("[")
    assert width_of(json.loads(marks(table))[0]) == pytest.approx(before, abs=0.5)
    expect(table.get_by_label("Marks, at least")).to_be_hidden()
    record(table, "Contusion")
    ready(table)
    chart(table).focus()
    table.keyboard.press("y")
    expect(table.get_by_role("heading", name="Add a layer")).to_be_visible()


def width_of(mark: dict[str, Any]) -> float:
    across = [point[0] for point in mark["points"]]
    return float(max(across) - min(across))


def test_a_pattern_by_keys_asks_how_many_marks_it_has(table: Page) -> None:
    chart(table).focus()
    table.keyboard.press("r")
    expect(table.get_by_role("button", name="Pattern")).to_have_attribute("aria-pressed", "true")
    draw(table, (-60, 200), (-30, 200), (-30, 240), (-60, 240))
    table.get_by_label("Marks, at least").fill("12")
    table.get_by_label("Marks, at most").fill("15")
    record(table, "Pellet wounds")
    mark = Finding.objects.get().marks.get()
    assert (mark.kind, mark.count_low, mark.count_high) == ("pattern", 12, 15)


def test_a_mark_on_a_schematic_gets_the_part_that_the_server_derives(table: Page) -> None:
    table.get_by_text("More", exact=True).click()
    table.get_by_role("link", name="Skull, left").click()
    expect(table.locator('[data-view="skull_left"][data-ready]')).to_be_attached()
    table.get_by_role("button", name="Point").click()
    table.mouse.click(*on_screen(table, 180.0, 120.0))
    expect(placing(table)).to_have_attribute("data-region", re.compile("."))
    seen = placing(table).get_attribute("data-region")
    expect(placing(table)).to_contain_text("measure the position by hand")
    record(table, "Fracture")
    finding = Finding.objects.get()
    assert seen == finding.region == finding.marks.get().region
    assert finding.above_heel_cm is None


def test_a_second_person_is_named_on_the_chart(
    table: Page, examination: Examination, new_page: Any, live_server: Any
) -> None:
    second = make_staff(Role.PATHOLOGIST)
    page = new_page()
    enter(page.context, second, live_server)
    open_chart(page, examination)
    expect(page.get_by_text(f"Also here: {examination.pathologist.printed_name}")).to_be_visible()


def test_three_hundred_findings_are_shown_and_walked(table: Page, examination: Examination) -> None:
    fill(examination, 300)
    open_chart(table, examination)
    expect(table.locator(".chart-paper .mark-label")).to_have_count(300)
    table.get_by_role("button", name="Zoom in").click()
    chart(table).focus()
    table.keyboard.press("n")
    expect(table.get_by_role("heading", name=re.compile("^1 · Contusion"))).to_be_visible()


# An external examination at the table: every kind of mark, two lost connections, one reload.
SPOTS = [(-50 + 25 * (n % 5), 190 + 60 * (n // 5)) for n in range(25)]
SHAPES = {
    "p": [(0, 0)],
    "l": [(0, 0), (14, 3)],
    "a": [(0, 0), (12, 0), (12, 12), (0, 12)],
}


def test_twenty_five_findings_in_a_hundred_steps_and_none_is_lost(
    table: Page, examination: Examination, complaints: list[str]
) -> None:
    steps = 0
    for number, (u, v) in enumerate(SPOTS, start=1):
        key = "pla"[number % 3]
        lost = number in (8, 16)
        ready(table)
        chart(table).focus()
        table.keyboard.press(key)
        draw(table, *((u + du, v + dv) for du, dv in SHAPES[key]))
        expect(table.get_by_label("Term")).to_be_focused()
        table.keyboard.type("Abrasion")
        table.context.set_offline(lost)
        table.keyboard.press("Enter")
        steps += 4
        if lost:
            expect(table.get_by_text("kept on this device and will be sent")).to_be_visible()
            table.context.set_offline(False)
        heading = table.get_by_role("heading", name=re.compile(rf"^{number} · Abrasion"))
        expect(heading).to_be_visible()
        if number == 20:
            table.reload()
    assert steps < 120
    numbers = Finding.objects.filter(case=examination.case).values_list("number", flat=True)
    assert sorted(numbers) == list(range(1, 26))
    complaints.clear()  # the browser notes on its console that it had no connection


def test_a_finding_is_recorded_with_scripts_off(
    new_page: Any, examination: Examination, live_server: Any
) -> None:
    page = new_page(java_script_enabled=False)
    enter(page.context, examination.pathologist, live_server)
    page.goto(f"/cases/{examination.case_id}/chart/")
    page.get_by_role("link", name="New finding").click()
    page.get_by_label("Term").fill("Fractures")
    page.get_by_label("Place").fill("Right ribs 5 to 8")
    page.get_by_role("button", name="Record the finding").click()
    page.get_by_role("link", name="Add a layer").click()
    page.get_by_label("Found").fill("not broken")
    page.get_by_role("button", name="Save").click()
    assert page.get_by_role("cell", name="not broken").is_visible()


def test_two_fingers_zoom_instead_of_drawing(
    new_page: Any, examination: Examination, live_server: Any
) -> None:
    page = new_page(viewport={"width": 820, "height": 1180}, has_touch=True)
    enter(page.context, examination.pathologist, live_server)
    open_chart(page, examination)
    page.get_by_role("button", name="Area").tap()
    (x, y), (other_x, other_y) = on_screen(page, -20, 300), on_screen(page, 20, 340)
    touch = page.context.new_cdp_session(page)

    def fingers(kind: str, spread: float) -> None:
        points = [
            {"x": x - spread, "y": y - spread, "id": 1},
            {"x": other_x + spread, "y": other_y + spread, "id": 2},
        ]
        touch.send(
            "Input.dispatchTouchEvent",
            {"type": kind, "touchPoints": [] if kind == "touchEnd" else points},
        )

    svg = chart(page).locator("svg").first
    before = svg.get_attribute("viewBox")
    fingers("touchStart", 0)
    for spread in (10, 25, 40):
        fingers("touchMove", spread)
    fingers("touchEnd", 0)
    expect(svg).not_to_have_attribute("viewBox", before or "")
    expect(page.get_by_role("heading", name="New finding")).not_to_be_attached()


def test_the_browser_finds_the_middle_of_a_mark_where_the_server_does(table: Page) -> None:
    random = Random(7)
    marks = [
        (
            kind,
            [
                [round(random.uniform(-90, 90), 1), round(random.uniform(150, 480), 1)]
                for _ in range(random.randint(fewest, 9))
            ],
        )
        for kind, fewest in (("point", 1), ("line", 2), ("area", 3)) * 20
    ]
    marks = [(kind, points[:1] if kind == "point" else points) for kind, points in marks]
    found = table.evaluate(
        """async (marks) => {
            const { middle, pickMark } = await import("/static/findings/chart/middle.js");
            const { loadBody } = await import("/static/findings/body/picking.js");
            const body = await loadBody("adult_male", (path) => `/static/findings/body/${path}`);
            return marks.map(([kind, points]) => [
                middle(kind, points),
                pickMark(body, { view: "anterior", kind, points })?.region ?? null,
            ]);
        }""",
        marks,
    )
    for (kind, points), (at, region) in zip(marks, found, strict=True):
        corners = [(u, v) for u, v in points]
        assert at == pytest.approx(middle(kind, corners))
        picked = picked_by_mark("adult_male", "anterior", kind, points)
        assert region == (picked.region if picked else None)
