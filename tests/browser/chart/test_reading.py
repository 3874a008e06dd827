"""The chart as it is seen: views, findings in turn, screens and barriers."""

from __future__ import annotations

import re
from typing import Any

import pytest
from playwright.sync_api import Page, expect

from findings.models import Examination
from findings.systems.actions import use_template
from findings.systems.offered import STANDARD
from findings.systems.template_actions import add_system_template
from findings.words.actions import reword
from me_office.accounts.roles import Role
from me_office.audit.ids import new_id
from tests.browser.chart.drawing import (
    chart,
    on_screen,
    open_chart,
    ready,
)
from tests.browser.conftest import DESK
from tests.browser.visitor import barriers_in_both, enter, seen
from tests.builders import make_staff
from tests.findings.builders import a_mark, fill, make_finding

pytestmark = pytest.mark.django_db(transaction=True)
LAPTOP = {"width": 1280, "height": 800}


def test_views_are_turned_by_keys_and_the_keys_are_listed(table: Page) -> None:
    chart(table).focus()
    table.keyboard.press("?")
    expect(seen(table, "more views, the opposite view")).to_be_visible()
    table.keyboard.press("Escape")
    expect(seen(table, "more views, the opposite view")).to_be_hidden()
    expect(chart(table)).to_be_focused()
    table.keyboard.press("o")
    expect(table.locator('[data-view="posterior"][data-ready]')).to_be_attached()
    expect(chart(table)).to_be_focused()
    table.keyboard.press("v")
    table.keyboard.press("Tab")
    table.keyboard.press("Enter")
    expect(table.locator('[data-view="trunk_right"][data-ready]')).to_be_attached()


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


def test_the_chart_is_in_view_with_list_and_detail_on_a_laptop(
    new_page: Any, examination: Examination, live_server: Any
) -> None:
    page = new_page(viewport=LAPTOP)
    enter(page, examination.pathologist, live_server)
    finding = make_finding(examination, marks=[a_mark()])
    open_chart(page, examination, f"?finding={finding.pk}")
    for name in ("Body chart", "Findings", "Finding 1"):
        expect(page.get_by_role("region", name=name, exact=True)).to_be_in_viewport(ratio=0.95)


def test_what_is_seen_is_typed_field_by_field_and_the_button_stands_still(
    new_page: Any, examination: Examination, live_server: Any
) -> None:
    page = new_page(viewport=LAPTOP)
    enter(page, examination.pathologist, live_server)
    open_chart(page, examination, "../findings/new/")
    page.get_by_label("Term").fill("Contusion")
    seen(page, "Color, shape, margins, pattern, vital reaction").click()
    said = {
        "Color": "Red-purple",
        "Shape": "Oblong",
        "Margins": "Ill-defined",
        "Vital reaction": "Swelling at the edge",
    }
    for label, words in said.items():
        page.get_by_label(label).fill(words)
    expect(seen(page, "Kept on this device")).to_be_visible()
    # Leaving the field changes the words beside the button between press and release.
    page.get_by_role("button", name="Record the finding").click()
    expect(page.get_by_role("heading", name="1 · Contusion")).to_be_visible()
    for label, words in said.items():
        row = page.get_by_role("term").filter(has_text=re.compile(f"^{label}$")).locator("..")
        expect(row).to_contain_text(words)


def test_no_page_has_a_barrier(table: Page, examination: Examination) -> None:
    finding = make_finding(examination, marks=[a_mark()], seen_as="Purple-red", timing="antemortem")
    case = f"/cases/{examination.case_id}"
    who = examination.pathologist
    reword(who, record_id=new_id(), key="term.contusion", words="bruise")
    template = add_system_template(
        who,
        record_id=new_id(),
        entry={"system": "urinary", "title": "Adult", "lines": {"bladder": ["It is empty."]}},
    )
    use_template(who, case_id=examination.case_id, system="cardiovascular", template=STANDARD)
    # High enough that no field lies half under a form's foot: axe takes the rest for all of it.
    table.set_viewport_size({"width": 1440, "height": 1800})
    for path, made_of in {
        # With each of its panels.
        f"{case}/chart/?finding={finding.pk}": "findings/chart.html",
        f"{case}/findings/{finding.pk}/paths/": "findings/chart.html",
        f"{case}/findings/{finding.pk}/": "findings/chart.html",
        f"{case}/findings/{finding.pk}/layers/": "findings/chart.html",
        f"{case}/findings/{finding.pk}/void/": "findings/chart.html",
        f"{case}/chart/print/": "findings/chart_print.html",
        f"{case}/chart/list/": "findings/reading.html",
        f"{case}/postmortem/": "findings/postmortem.html",
        f"{case}/examination/": "findings/examination.html",
        f"{case}/organs/": "findings/organs.html",
        f"{case}/systems/neck/": "findings/systems.html",
        f"{case}/systems/parts/heart/": "findings/systems.html",
        f"{case}/slides/": "findings/slides.html",
        "/findings/systems/": "findings/system_templates.html",
        f"/findings/systems/{template.pk}/": "findings/system_template.html",
        "/findings/terms/": "findings/terms.html",
        "/findings/wording/": "findings/wordings.html",
        "/findings/wording/term.contusion/": "findings/reword.html",
    }.items():
        table.goto(path)
        assert barriers_in_both(table, made_of) == [], path


def test_a_second_person_is_named_on_the_chart(
    table: Page, examination: Examination, new_page: Any, live_server: Any
) -> None:
    second = make_staff(Role.PATHOLOGIST)
    page = new_page()
    enter(page, second, live_server)
    open_chart(page, examination)
    expect(seen(page, f"Also here: {examination.pathologist.printed_name}")).to_be_visible()


# What is covered, in how many rows the tabs stand, and by how much the page itself scrolls.
SEEN = """() => {
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


def test_three_hundred_findings_are_not_covered_on_any_screen_and_are_walked(
    new_page: Any, examination: Examination, live_server: Any
) -> None:
    fill(examination, 300)
    table = new_page()
    tablet = new_page(viewport={"width": 820, "height": 1180}, has_touch=True)
    table.set_viewport_size(LAPTOP)
    for name, page in (("laptop", table), ("tablet", tablet)):
        enter(page, examination.pathologist, live_server)
        open_chart(page, examination)
        assert page.evaluate(SEEN) == {"covered": 0, "rows": 1, "over": 0}, name
    table.set_viewport_size(DESK)
    expect(table.locator(".chart-paper .mark-label")).to_have_count(300)
    table.get_by_role("button", name="Zoom in").click()
    chart(table).focus()
    table.keyboard.press("n")
    expect(table.get_by_role("heading", name=re.compile("^1 · Contusion"))).to_be_visible()
