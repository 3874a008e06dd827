"""Earlier statements in a browser: lines chosen by mouse and keys, pages without barriers."""

from __future__ import annotations

import pytest
from playwright.sync_api import expect

from cases.statements.models import StatementPassage
from me_office.accounts.roles import Role
from tests.browser.visitor import barriers_in_both, enter, seen
from tests.builders import make_case, make_staff
from tests.evidence.pictures import make_finding
from tests.statements.builders import add_text, mark

pytestmark = pytest.mark.django_db(transaction=True)


def test_lines_are_chosen_by_mouse_keys_and_typing_and_read_beside_the_record(page, live_server):
    vasko = make_staff(Role.PATHOLOGIST, name="Dr. I. Vasko")
    case = make_case(by=vasko)
    bruise = make_finding(case, vasko, number=4, length_mm=110, place="right chest wall")
    said = add_text(vasko, case)
    enter(page, vasko, live_server)
    root = f"/cases/{case.pk}/statements/"
    page.goto(f"{root}{said.pk}/pages/31/")
    lines = page.get_by_role("listbox", name="Lines of page 31")
    field = page.get_by_label("Lines", exact=True)
    chosen = lines.get_by_role("option", selected=True)

    first, second = lines.get_by_role("option").nth(0), lines.get_by_role("option").nth(1)
    first.hover()
    page.mouse.down()
    second.hover()
    page.mouse.up()
    expect(field).to_have_value("31:1-2")
    expect(chosen).to_have_count(2)

    second.focus()
    page.keyboard.press("Enter")
    expect(field).to_have_value("31:2")
    page.keyboard.press("Shift+ArrowDown")
    page.keyboard.press("Shift+ArrowDown")
    expect(field).to_have_value("31:2-4")
    expect(chosen).to_have_count(3)

    field.fill("31:1-2")
    expect(chosen).to_have_count(2)
    expect(first).to_have_attribute("aria-selected", "true")
    page.get_by_label("4 Contusion").check()
    assert barriers_in_both(page, "statements/statement.html") == []
    page.get_by_role("button", name="Mark these lines").click()
    expect(seen(page, "Marked: p. 31:1-2.")).to_be_visible()
    passage = StatementPassage.objects.get()
    assert passage.words.endswith("A. About ten centimeters.")

    mark(vasko, said, (31, 4, 31, 4), findings=[bruise.pk], topics=["Side"])
    for path, template in {
        "": "statements/statements.html",
        "add/": "statements/add.html",
        "compare/": "statements/compare.html",
        f"{said.pk}/edit/": "statements/change.html",
        f"passages/{passage.pk}/": "statements/link.html",
    }.items():
        page.goto(root + path)
        assert barriers_in_both(page, template) == []
