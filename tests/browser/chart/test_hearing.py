"""The chart by keys alone, by what is heard: WCAG 2.2, 2.1.1, 2.4.3, 4.1.2 and 4.1.3."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest
from playwright.sync_api import Error, Page, expect

from findings.models import Examination, Finding
from tests.browser.chart.drawing import chart, marks, on_screen, open_chart, placing, ready
from tests.findings.builders import a_mark, make_finding

pytestmark = pytest.mark.django_db(transaction=True)
SPOKEN = json.loads((Path(__file__).parents[2] / "findings" / "spoken.json").read_text())
# Everything that was said since the page came, also what has been tidied away.
LISTEN = """() => {
    window.heard = [];
    const region = document.getElementById("said");
    new MutationObserver((all) => {
        const added = all.flatMap((one) => [...one.addedNodes]);
        window.heard.push(...added.map((one) => one.textContent));
    }).observe(region, { childList: true });
}"""
SENTENCES = """async (rows) => {
    const { markSentence } = await import("/static/findings/chart/spoken.js");
    return rows.map((row) => markSentence(row, {
        place: row.place,
        aboveHeelCm: row.above_heel_cm,
        fromMidlineCm: row.from_midline_cm,
        midline: row.midline,
        lengthCm: row.length_cm,
        schematic: !row.surface,
    }));
}"""


def heard(page: Page, *sentences: str) -> None:
    """Wait until these sentences are the last that were said."""
    said = "(all) => all.every((one, i) => window.heard.at(i - all.length)?.includes(one))"
    try:
        page.wait_for_function(said, arg=list(sentences), timeout=5000)
    except Error:
        assert page.evaluate("window.heard")[-len(sentences) :] == list(sentences)


def press(page: Page, *keys: str) -> None:
    for key in keys:
        page.keyboard.press(key)


def test_three_marks_are_placed_moved_undone_and_saved_by_keys_and_each_step_is_heard(
    table: Page, examination: Examination
) -> None:
    assert table.evaluate(SENTENCES, SPOKEN) == [row["said"] for row in SPOKEN]
    table.evaluate(LISTEN)
    chart(table).focus()
    expect(chart(table)).to_have_accessible_name("Body chart, front, 0 marks")
    expect(chart(table)).to_have_accessible_description(re.compile("^Arrow keys"))
    press(table, "p")
    heard(table, "Point: the tool is chosen.")
    press(table, *["Shift+ArrowUp"] * 6, *["Shift+ArrowLeft"] * 2, *["ArrowLeft"] * 4)
    heard(table, "Right lower quadrant of abdomen, about")
    press(table, "Enter")
    expect(table.get_by_label("Term")).to_be_focused()
    heard(table, "Point, right lower quadrant of abdomen, about")
    table.keyboard.type("Contusion")

    # Back to the drawing: a second and a third.
    chart(table).focus()
    press(table, "p", *["Shift+ArrowRight"] * 5, "Enter")
    heard(table, "2 marks, the last: point, left lower quadrant of abdomen, about")
    press(table, "p", *["Shift+ArrowDown"] * 3, "Enter")
    heard(table, "3 marks, the last: point, left")
    three = json.loads(marks(table))
    press(table, "ArrowDown")
    heard(table, "Moved: Left")
    assert json.loads(marks(table)) != three
    press(table, "Backspace")
    heard(table, "The mark is back where it was: left")
    assert json.loads(marks(table)) == three
    press(table, "Control+z")
    heard(table, "The last mark is removed: left lower quadrant of abdomen")
    assert json.loads(marks(table)) == three[:2]
    press(table, "Control+y")
    heard(table, "The mark is back: left")
    assert json.loads(marks(table)) == three

    # With the keyboard into the first field that is seen, and to the button.
    press(table, "Enter")
    expect(table.get_by_label("Class")).to_be_focused()
    table.get_by_label("Term").press("Enter")
    heard(table, "Finding 1 is recorded.")
    expect(table.get_by_role("heading", name="1 · Contusion")).to_be_focused()
    assert Finding.objects.get().marks.count() == 3
    open_chart(table, examination)
    expect(chart(table)).to_have_accessible_name("Body chart, front, 3 marks")


def test_undoing_the_only_mark_and_going_from_thing_to_thing(
    table: Page, examination: Examination
) -> None:
    first = make_finding(examination, term="Abrasion", marks=[a_mark()])
    make_finding(examination, term="Scar", klass="identifying feature", place="Left cheek")
    open_chart(table, examination)
    table.evaluate(LISTEN)
    chart(table).focus()
    press(table, "n")
    heard(table, "Finding 1, 1 of 2: Abrasion, Right lower chest (costal region), injury.")
    ready(table)
    press(table, "n")
    heard(table, "Finding 2, 2 of 2: Scar, Left cheek, identifying feature.")
    press(table, "n")
    heard(table, "Finding 2, 2 of 2", "This is the last finding.")
    row = table.get_by_role("link", name="1 Abrasion")
    row.focus()
    press(table, "Enter")
    expect(table.get_by_role("heading", name="1 · Abrasion")).to_be_visible()
    expect(row).to_be_focused()
    table.get_by_role("link", name="Change", exact=True).press("Enter")
    expect(table.get_by_role("heading", name="Change 1 · Abrasion")).to_be_focused()
    table.get_by_label("Term").fill("Laceration")
    table.get_by_role("button", name="Save the change").press("Enter")
    expect(table.get_by_role("heading", name="1 · Laceration")).to_be_focused()
    heard(table, "Finding 1 is changed.")
    table.get_by_role("link", name="Void this finding").press("Enter")
    expect(table.get_by_role("heading", name="Void")).to_be_focused()
    table.get_by_label("Reason").fill("Recorded twice")
    table.get_by_role("button", name="Void it").press("Enter")
    expect(table.get_by_role("heading", name="1 finding")).to_be_focused()
    heard(table, f"Finding {first.number} is voided.")

    # Left without saving, the finding is where the focus is.
    ready(table)
    scar = table.get_by_role("link", name="2 Scar")
    scar.press("Enter")
    expect(table.get_by_role("heading", name="2 · Scar")).to_be_visible()
    expect(scar).to_be_focused()
    table.get_by_role("link", name="Change", exact=True).press("Enter")
    expect(table.get_by_role("heading", name="Change 2 · Scar")).to_be_focused()
    table.get_by_role("link", name="Leave without saving").press("Enter")
    expect(table.get_by_role("region", name="Finding 2")).to_be_focused()
    table.evaluate(LISTEN)
    ready(table)
    table.get_by_role("link", name="New finding").press("Enter")
    expect(table.get_by_role("heading", name="New finding")).to_be_focused()
    ready(table)
    words = placing(table).text_content()
    table.get_by_role("button", name="Point").click()
    table.mouse.click(*on_screen(table, -72.0, 290.0))
    expect(placing(table)).to_contain_text("Point, right lower chest (costal region), about")
    table.get_by_role("button", name="Undo").click()
    expect(placing(table)).to_have_text(words or "?")
    heard(table, "The last mark is removed. No mark is left.")
    expect(table.get_by_role("button", name="Undo")).to_be_focused()
    # The same by words: the other view opens, and what was typed stays.
    table.get_by_text("Place by words, position measured by hand").press("Enter")
    region = table.get_by_label("Region, with its side")
    region.fill("buttock")
    table.get_by_role("button", name="Place the mark").press("Enter")
    expect(region).to_be_focused()
    expect(region).to_have_accessible_description(re.compile("Say which side: left buttock, right"))
    region.fill("left buttock")
    table.get_by_role("button", name="Place the mark").press("Enter")
    height = table.get_by_label("Above the heel")
    expect(height).to_be_focused()
    height.fill("89")
    table.get_by_role("button", name="Place the mark").press("Enter")
    expect(table.get_by_label("Term")).to_be_focused()
    heard(table, "Point, left buttock, about 89 cm above the heel, about")
    expect(table.locator('[data-view="posterior"][data-ready]')).to_be_attached()
    table.keyboard.type("Contusion")
    press(table, "Enter")
    expect(table.get_by_role("heading", name="3 · Contusion")).to_be_focused()
    third = Finding.objects.get(number=3)
    # Nobody measured the way from the midline, so none is stated.
    assert (third.region, third.position_source) == ("buttock_l", "measured")
    assert (third.above_heel_cm, third.from_midline_cm) == (89, None)


# What a field is covered by, where it has the focus: WCAG 2.2, 2.4.11.
COVERED = """() => {
    for (const fold of document.querySelectorAll(".panel-form details")) fold.open = true;
    const foot = document.querySelector(".panel-form .form-foot");
    const fields = [...document.querySelectorAll(".panel-form :is(input, select, textarea)")];
    return fields.filter((field) => {
        if (!field.checkVisibility()) return false;
        field.focus();
        const [seen, bar] = [field.getBoundingClientRect(), foot.getBoundingClientRect()];
        const under = getComputedStyle(foot).position === "sticky" && seen.bottom > bar.top + 1;
        return under || seen.top < 0 || seen.bottom > window.innerHeight;
    }).map((field) => field.name);
}"""
SIZES = """() => ({
    drawing: document.querySelector(".chart-paper svg").getBoundingClientRect().height,
    over: document.documentElement.scrollWidth - document.documentElement.clientWidth,
    stuck: [...document.querySelectorAll("body *")].filter((one) =>
        getComputedStyle(one).position === "sticky" && one.checkVisibility()).length,
})"""
PAINT = """(css) => {
    const { color, backgroundColor, stroke } = getComputedStyle(document.querySelector(css));
    return [color, backgroundColor, stroke];
}"""
# WCAG 2.2, 2.5.8: 24 px each way, also where a link stands in a line of words.
SMALL = """() => [...document.querySelectorAll(".chart-work :is(a, button, summary)")]
    .filter((one) => one.checkVisibility())
    .map((one) => [one.textContent.trim(), one.getBoundingClientRect()])
    .filter(([, { width, height }]) => width < 24 || height < 24)
    .map(([words]) => words)"""
LABELS = """() => [...document.querySelectorAll("[role=application] .label-box")].map((one) => {
    const { left, right, top, bottom } = one.getBoundingClientRect();
    return [left, right, (top + bottom) / 2];
})"""


def test_enlarged_touched_and_in_the_system_s_colors_the_chart_loses_nothing(
    table: Page, examination: Examination
) -> None:
    make_finding(examination, term="Abrasion", marks=[a_mark()])
    make_finding(examination, term="Scar", marks=[a_mark(points=[[-68.0, 292.0]])])
    # WCAG 2.2, 1.4.10: 1280 by 1024 enlarged four times, three times and twice, and a phone.
    for width, height in ((320, 256), (427, 341), (640, 512), (390, 844), (844, 390)):
        table.set_viewport_size({"width": width, "height": height})
        open_chart(table, examination, "../findings/new/")
        found = table.evaluate(SIZES)
        assert found["drawing"] >= 300, (width, height)
        assert found["over"] == 0, (width, height)
        assert found["stuck"] == 0 or height > 480, (width, height)
        assert table.evaluate(COVERED) == [], (width, height)
    table.set_viewport_size({"width": 1280, "height": 800})
    open_chart(table, examination, "../findings/new/")
    assert table.evaluate(COVERED) == []

    # WCAG 2.2, 2.5.8: beside a number of 13 px, the nearest one is meant.
    open_chart(table, examination)
    for away, number in ((10, 0), (10, 1), (30, 0)):
        ready(table)
        labels = table.evaluate(LABELS)
        (left, right, middle), (beside, _, _) = labels[number], labels[1 - number]
        # On the side where the other label is not.
        table.mouse.click(right + away if beside < left else left - away, middle)
        # Too far away, the one that was chosen stays.
        name = ("1 · Abrasion", "2 · Scar")[number if away == 10 else 1]
        expect(table.get_by_role("heading", name=name)).to_be_visible()
    assert table.evaluate(SMALL) == []

    table.emulate_media(forced_colors="active")
    table.get_by_role("button", name="Area").click()
    for on, off in (
        ('button[aria-pressed="true"]', 'button[aria-pressed="false"]'),
        (".finding-row[aria-current]", ".finding-row:not([aria-current])"),
    ):
        assert table.evaluate(PAINT, on)[:2] != table.evaluate(PAINT, off)[:2], on
    selected, other_box = (".is-selected .label-box", ".mark-label:not(.is-selected) .label-box")
    assert table.evaluate(PAINT, selected)[2] != table.evaluate(PAINT, other_box)[2]
    hatch = "getComputedStyle(document.querySelector('.chart-legend .swatch')).backgroundImage"
    assert "gradient" in table.evaluate(hatch)
