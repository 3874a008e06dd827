"""Marks on the body chart by mouse, keys, fingers and pen."""

from __future__ import annotations

import json
import re
from random import Random
from typing import Any

import pytest
from playwright.sync_api import Page, expect

from findings.body.picking import pick
from findings.chart.placing import middle, picked_by_mark
from findings.models import Examination, Finding
from tests.browser.chart.drawing import (
    chart,
    draw,
    marks,
    on_screen,
    open_chart,
    placing,
    ready,
    record,
    width_of,
)
from tests.browser.visitor import enter
from tests.findings.builders import a_mark, make_finding

pytestmark = pytest.mark.django_db(transaction=True)


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
    for _ in range(5):
        table.keyboard.press("Shift+ArrowUp")
    table.keyboard.press("ArrowRight")
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
    ((back,),) = [mark["points"] for mark in json.loads(marks(table))]
    assert back == pytest.approx([-72.0, 290.0], abs=1)
    table.keyboard.press("Backspace")
    assert json.loads(marks(table)) == []


def test_a_mark_beside_the_body_is_not_taken(table: Page) -> None:
    table.get_by_role("button", name="Point").click()
    table.mouse.click(*on_screen(table, -250.0, 60.0))
    expect(table.get_by_role("status").get_by_text("outside the body")).to_be_attached()
    assert table.url.endswith("/chart/")


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


def test_two_fingers_zoom_instead_of_drawing(
    new_page: Any, examination: Examination, live_server: Any
) -> None:
    page = new_page(viewport={"width": 820, "height": 1180}, has_touch=True)
    enter(page, examination.pathologist, live_server)
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


def test_zooming_keeps_marks_where_they_are_placed(table: Page) -> None:
    for _ in range(3):
        table.get_by_role("button", name="Zoom in").click()
    table.get_by_role("button", name="Point").click()
    table.mouse.click(*on_screen(table, 10.0, 480.0))
    record(table, "Scar")
    ((u, v),) = Finding.objects.get().marks.get().points
    assert (u, v) == (pytest.approx(10.0, abs=1), pytest.approx(480.0, abs=1))


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


def test_an_entrance_and_its_exit_are_drawn_in_two_views_under_one_number(table: Page) -> None:
    table.get_by_role("button", name="Entrance and exit").click()
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


def test_a_pattern_by_keys_asks_how_many_marks_it_has(table: Page) -> None:
    chart(table).focus()
    table.keyboard.press("r")
    patterned = table.get_by_role("button", name="Patterned mark")
    expect(patterned).to_have_attribute("aria-pressed", "true")
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
