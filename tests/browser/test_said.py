"""What the page says aloud, as a screen reader finds it: WCAG 2.2, 4.1.3 (status messages)."""

from __future__ import annotations

from typing import Any

import pytest
from playwright.sync_api import Page, expect

from me_office.accounts.models import Staff
from tests.browser.visitor import enter, seen

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.urls("tests.shell.pages")]
SAY = "async (all) => { const { say } = await import('/static/shell/js/say.js');"
SAY_ALL = SAY + " for (const one of all) say(...one); }"
# What htmx tells of a part that it brought.
BRING = """(words) => {
    const part = document.createElement("div");
    part.dataset.say = words;
    document.getElementById("work").append(part);
    part.dispatchEvent(new CustomEvent("htmx:load", { bubbles: true, detail: { elt: part } }));
}"""
# A dialog makes the rest of the page silent; what was said in it is not said again after it.
DIALOG = """() => {
    const dialog = document.createElement("dialog");
    document.body.append(dialog);
    dialog.showModal();
}"""


def test_each_sentence_is_said_the_same_one_twice_and_what_waits_gives_way(
    page: Page, clerk: Staff, live_server: Any
) -> None:
    enter(page, clerk, live_server)
    page.goto("/tests/scene/")
    page.get_by_label("Position as found").fill("On the back")
    seen(page, "Blanches").click()
    page.get_by_role("button", name="Record").click()
    said = page.get_by_role("status").locator("p")
    # A message is there before anybody listens, so it is said; it is seen, too.
    expect(said).to_have_text(["The scene is recorded."])
    expect(page.get_by_role("listitem").filter(has_text="The scene is recorded.")).to_be_visible()

    page.goto("/tests/veils/")
    page.evaluate(SAY_ALL, [["Saved."], ["Saved."], ["  Mark  7\n is placed. "], [""]])
    expect(said).to_have_text(["Saved.", "Saved.", "Mark 7 is placed."])

    page.goto("/tests/veils/")
    page.evaluate(SAY_ALL, [["Left arm", "cursor"], ["Undone."], ["Left hand", "cursor"]])
    page.evaluate(BRING, "Finding 3 is saved.")
    expect(said).to_have_text(["Undone.", "Left hand", "Finding 3 is saved."])

    page.evaluate(DIALOG)
    page.evaluate(SAY_ALL, [["Chosen."]])
    expect(page.get_by_role("dialog").get_by_role("status").locator("p").last).to_have_text(
        "Chosen."
    )
    page.evaluate("document.querySelector('dialog[open]').close()")
    page.evaluate(SAY_ALL, [[f"Row {number}"] for number in range(8)])
    expect(said).to_have_text([f"Row {number}" for number in range(2, 8)])
    expect(page.locator("body > [role=status]")).to_have_count(1)
