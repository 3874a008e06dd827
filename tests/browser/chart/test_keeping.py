"""What was typed and drawn outlives another view, a lost connection and a reload."""

from __future__ import annotations

import os
import re
from typing import Any

import pytest
from playwright.sync_api import Page, expect

from findings.models import Examination, Finding, LayerFinding
from tests.browser.chart.drawing import (
    chart,
    draw,
    on_screen,
    open_chart,
    placing,
    ready,
    record,
)
from tests.browser.visitor import enter, seen
from tests.findings.builders import make_finding

pytestmark = pytest.mark.django_db(transaction=True)


def hold_a_layer_back(table: Page, examination: Examination) -> None:
    """Write a layer and save it without a connection."""
    finding = make_finding(examination)
    open_chart(table, examination, f"?finding={finding.pk}")
    table.get_by_role("link", name="Add a layer").click()
    table.get_by_label("Layer", exact=True).select_option("skin")
    table.get_by_label("Found").fill("not broken")
    table.context.set_offline(True)
    table.get_by_role("button", name="Save").click()
    expect(seen(table, "kept on this device and will be sent")).to_be_visible()
    expect(seen(table, "No connection. Kept on this device; will be sent")).to_be_visible()


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


def test_what_a_lost_connection_held_back_is_sent_once(
    table: Page, examination: Examination, complaints: list[str]
) -> None:
    hold_a_layer_back(table, examination)
    assert not LayerFinding.objects.exists()
    table.context.set_offline(False)
    expect(table.get_by_role("cell", name="not broken")).to_be_visible()
    assert LayerFinding.objects.count() == 1
    assert table.evaluate("Object.keys(localStorage)") == []
    complaints.clear()  # the browser notes on its console that it had no connection


def begin_a_finding(table: Page) -> None:
    table.get_by_role("button", name="Point").click()
    table.mouse.click(*on_screen(table, -72.0, 290.0))
    table.get_by_label("Seen as").fill("Four bands")


def reload_and_record_it(table: Page) -> None:
    """What was typed and drawn is there again, and is recorded."""
    table.reload()
    ready(table)
    expect(table.get_by_label("Seen as")).to_have_value("Four bands")
    expect(placing(table)).to_contain_text("Point, right")
    record(table, "Contusion")
    assert Finding.objects.get().marks.count() == 1


def test_what_was_typed_and_drawn_comes_back_after_a_reload(table: Page) -> None:
    begin_a_finding(table)
    expect(seen(table, "Kept on this device")).to_be_visible()
    reload_and_record_it(table)


def test_what_was_drawn_and_typed_before_the_form_was_set_up_comes_back_too(table: Page) -> None:
    table.evaluate("""() => document.addEventListener("htmx:afterSwap", () => {
        document.getElementById("id_seen_as").value = "Four bands";
    })""")
    table.get_by_role("button", name="Point").click()
    table.mouse.click(*on_screen(table, -72.0, 290.0))
    expect(seen(table, "Kept on this device")).to_be_visible()
    reload_and_record_it(table)


def test_a_mark_alone_comes_back_after_a_reload(table: Page) -> None:
    table.get_by_role("button", name="Point").click()
    table.mouse.click(*on_screen(table, -72.0, 290.0))
    expect(seen(table, "Kept on this device")).to_be_visible()
    table.reload()
    ready(table)
    expect(placing(table)).to_contain_text("Point, right")


def test_a_refused_finding_is_kept_until_it_is_saved(table: Page) -> None:
    begin_a_finding(table)
    table.locator("form[data-outbox]").evaluate("(form) => { form.noValidate = true; }")
    table.get_by_role("button", name="Record the finding").click()
    expect(table.locator('[data-widget~="error-list"]')).to_be_visible()
    reload_and_record_it(table)
    assert table.evaluate("Object.keys(localStorage)") == []


def test_what_was_held_back_outlives_the_session(
    table: Page, examination: Examination, complaints: list[str]
) -> None:
    hold_a_layer_back(table, examination)
    table.context.clear_cookies(name="sessionid")
    with table.expect_response(lambda answer: answer.request.method == "POST"):
        table.context.set_offline(False)
    # Answered after it: what was to be done with the first answer is done.
    table.evaluate("fetch('/health/live/')")
    assert not LayerFinding.objects.exists()
    kept = table.evaluate("Object.keys(localStorage).map((key) => key.split('|')[0]).sort()")
    assert kept == ["draft", "outbox"]
    table.get_by_text(str(examination.pathologist)).first.click()
    table.get_by_role("button", name="Sign out").click()
    table.get_by_role("button", name="Discard and sign out").click()
    expect(table.get_by_role("heading", name="Sign in")).to_be_visible()
    assert table.evaluate("Object.keys(localStorage)") == []
    complaints.clear()  # the browser notes on its console that it had no connection


# An external examination at the table: every kind of mark, two lost connections, one reload.
# A sheet of twenty-five takes a while: FINDINGS=25 in the environment draws it whole.
FINDINGS = int(os.environ.get("FINDINGS", "4"))
SPOTS = [(-50 + 25 * (n % 5), 190 + 60 * (n // 5)) for n in range(FINDINGS)]
SHAPES = {
    "p": [(0, 0)],
    "l": [(0, 0), (14, 3)],
    "a": [(0, 0), (12, 0), (12, 12), (0, 12)],
}


def test_many_findings_in_four_steps_each_and_none_is_lost(
    table: Page, examination: Examination, complaints: list[str]
) -> None:
    for number, (u, v) in enumerate(SPOTS, start=1):
        key = "pla"[number % 3]
        lost = number in (3, 16)
        ready(table)
        chart(table).focus()
        table.keyboard.press(key)
        draw(table, *((u + du, v + dv) for du, dv in SHAPES[key]))
        expect(table.get_by_label("Term")).to_be_focused()
        table.keyboard.type("Abrasion")
        table.context.set_offline(lost)
        table.keyboard.press("Enter")
        if lost:
            expect(seen(table, "kept on this device and will be sent")).to_be_visible()
            table.context.set_offline(False)
        heading = table.get_by_role("heading", name=re.compile(rf"^{number} · Abrasion"))
        expect(heading).to_be_visible()
        if number in (2, 20):
            table.reload()
    numbers = Finding.objects.filter(case=examination.case).values_list("number", flat=True)
    assert sorted(numbers) == list(range(1, FINDINGS + 1))
    complaints.clear()  # the browser notes on its console that it had no connection


def test_a_finding_is_recorded_with_scripts_off(
    new_page: Any, examination: Examination, live_server: Any
) -> None:
    page = new_page(java_script_enabled=False)
    enter(page, examination.pathologist, live_server)
    page.goto(f"/cases/{examination.case_id}/chart/")
    page.get_by_role("link", name="New finding").click()
    page.get_by_label("Term").fill("Fractures")
    page.get_by_label("Place").fill("Right ribs 5 to 8")
    page.get_by_role("button", name="Record the finding").click()
    page.get_by_role("link", name="Add a layer").click()
    page.get_by_label("Found").fill("not broken")
    page.get_by_role("button", name="Save").click()
    expect(page.get_by_role("cell", name="not broken")).to_be_visible()
