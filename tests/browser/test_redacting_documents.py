"""Redacting a document in a browser: words by pointer and keys, an area, search, the preview."""

from __future__ import annotations

import re

import pytest
from django.urls import reverse
from playwright.sync_api import Page, expect

from cases.redaction import tasks
from cases.redaction.models import RedactedDocument, RedactionMark
from me_office.accounts.roles import Role
from tests.browser.visitor import barriers, barriers_in_both, enter, seen
from tests.builders import make_case, make_staff
from tests.redaction.builders import add_document, make_reason

pytestmark = pytest.mark.django_db(transaction=True)


def test_words_and_an_area_are_chosen_marked_and_gone_from_the_copy(page: Page, live_server):
    clerk = make_staff(Role.RECORDS_CLERK)
    case = make_case()
    letter, why = add_document(clerk, case), make_reason(clerk)
    of_case = {"case_id": case.pk}
    enter(page, clerk, live_server)
    page.goto(live_server.url + reverse("redaction:documents", kwargs=of_case))
    assert barriers_in_both(page, "redaction/documents.html") == []
    page.get_by_role("link", name=re.compile("^Open the redaction of Letter")).click()
    form = page.locator("form[data-ready=yes]")
    expect(form).to_be_attached()
    paper = page.get_by_role("application")
    # Keys: the second word, and the one after it.
    paper.focus()
    for key in ("ArrowRight", "ArrowRight", "ArrowDown", "ArrowUp", "Shift+ArrowRight", "Enter"):
        page.keyboard.press(key)
    expect(seen(page, "Chosen: “of a”. 1 choice, not marked yet.")).to_be_visible()
    # The pointer: an area from corner to corner, taken back, drawn again.
    page.get_by_label("an area").check()
    box = paper.bounding_box()
    assert box is not None

    def draw() -> None:
        page.mouse.move(box["x"] + 40, box["y"] + 20)
        page.mouse.down()
        page.mouse.move(box["x"] + 200, box["y"] + 60)
        page.mouse.up()

    draw()
    page.get_by_role("button", name="Undo").click()
    expect(seen(page, "Undone. 1 choice left.")).to_be_visible()
    draw()
    expect(seen(page, "Area chosen. 2 choices, not marked yet.")).to_be_visible()
    page.get_by_label("Reason", exact=True).select_option(str(why))
    page.get_by_role("button", name="Mark for removal").click()
    expect(seen(page, "2 places marked.")).to_be_visible()
    marks = RedactionMark.objects.order_by("created_at")
    assert sorted((one.kind, one.words) for one in marks) == [("area", ""), ("words", "of a")]
    expect(form).to_be_attached()
    page.get_by_role("button", name="Preview marked page").click()
    expect(page.get_by_role("button", name="Continue choosing")).to_be_visible()
    assert barriers_in_both(page, "redaction/document.html") == []
    page.get_by_label("Words to find in all pages").fill("Marla Quince")
    page.get_by_role("button", name="Find", exact=True).click()
    assert barriers(page, "redaction/find.html") == []
    page.get_by_label("Reason", exact=True).select_option(str(why))
    page.get_by_label(re.compile("place 2$")).uncheck()
    page.get_by_role("button", name="Mark for removal").click()
    expect(seen(page, "1 place marked.")).to_be_visible()
    page.get_by_role("button", name="Make the redacted copy").click()
    copy = RedactedDocument.objects.get()
    tasks.make_requested(copy.pk)
    page.get_by_role("link", name=re.compile("^See them and decide")).click()
    assert barriers(page, "redaction/leave.html") == []
    page.get_by_label("Reason").fill("The signature stays")
    page.get_by_role("button", name="Let the copy go out as it is").click()
    expect(seen(page, "goes out in place of the document")).to_be_visible()
    for name, keys, template in (
        ("redaction:add", of_case, "redaction/add.html"),
        ("redaction:reasons", {}, "redaction/reasons.html"),
        ("redaction:reason", {"reason_id": why.pk}, "redaction/reason.html"),
    ):
        page.goto(live_server.url + reverse(name, kwargs=keys))
        assert barriers(page, template) == [], template
    assert letter.pages == 2
