"""The certificate's items, the decedent and the list of texts, in a browser."""

from __future__ import annotations

import pytest
from playwright.sync_api import expect

from me_office.accounts.roles import Role
from tests.browser.visitor import barriers, barriers_in_both, enter, seen
from tests.builders import make_case, make_staff

pytestmark = pytest.mark.django_db(transaction=True)


def test_a_certificate_is_stated_and_questioned(page, live_server):
    vasko, case = make_staff(Role.PATHOLOGIST, name="I. Vasko"), make_case()
    enter(page, vasko, live_server)
    page.goto(f"/cases/{case.pk}/cause-and-manner/")
    assert barriers_in_both(page, "certification/cause_and_manner.html") == []
    page.get_by_label("Immediate cause").fill("Acute opioid intoxication")
    page.get_by_label("could not be determined").check()
    page.get_by_role("button", name="State cause and manner").click()
    expect(seen(page, "names no drug")).to_be_visible()
    expect(seen(page, "Items 38 to 44")).to_be_visible()
    assert barriers_in_both(page, "certification/cause_and_manner.html") == []


def test_a_line_is_asked_about_while_it_is_typed_and_stated_to_the_registrar(page, live_server):
    vasko, case = make_staff(Role.PATHOLOGIST, name="I. Vasko"), make_case()
    enter(page, vasko, live_server)
    page.goto(f"/cases/{case.pk}/cause-and-manner/")
    page.get_by_label("Immediate cause").fill("Deep vein thrombosis")
    page.get_by_label("Due to, or as a consequence of").first.fill("Pulmonary embolism")
    expect(seen(page, "Check the order of the lines")).to_be_visible()
    page.get_by_label("Immediate cause").fill("Pulmonary embolism")
    page.get_by_label("Due to, or as a consequence of").first.fill("Deep vein thrombosis")
    expect(seen(page, "Check the order of the lines")).to_have_count(0)
    page.get_by_label("natural").check()
    page.get_by_role("button", name="State cause and manner").click()
    page.get_by_role("link", name="State it").click()
    assert barriers(page, "certification/registrar.html") == []
    page.get_by_role("button", name="Keep it as stated").click()
    expect(page.get_by_role("heading", name="Statement 1")).to_be_visible()
    page.get_by_role("link", name="Add a follow-up").click()
    assert barriers(page, "certification/follow_up.html") == []
    page.goto(f"/cases/{case.pk}/cause-and-manner/particulars/")
    assert barriers(page, "certification/particulars.html") == []


WRONG_ORDER = ("Deep vein thrombosis", "Pulmonary embolism")
TOP_OF = "(one) => one.getBoundingClientRect().top"
TO_THE_TOP = "() => scrollTo(0, 0)"
PAST_THE_LINE = "(one) => scrollTo(0, scrollY + one.getBoundingClientRect().bottom)"
A_MOMENT = "() => new Promise((done) => { setTimeout(done, 100); })"


@pytest.fixture
def stating(page, live_server):
    """Return the page of a cause, its two lines filled by a call, answered by another."""
    vasko, case = make_staff(Role.PATHOLOGIST, name="I. Vasko"), make_case()
    enter(page, vasko, live_server)
    held = []
    page.route("**/guidance/", lambda route: held.append(route))
    page.goto(f"/cases/{case.pk}/cause-and-manner/")
    lines = [
        page.get_by_label("Immediate cause"),
        page.get_by_label("Due to, or as a consequence of").first,
    ]

    def state(*causes):
        for line, cause in zip(lines, causes, strict=True):
            line.fill(cause)
        with page.expect_request("**/guidance/"):
            lines[-1].blur()

    def answer():
        while held:
            with page.expect_response("**/guidance/"):
                held.pop(0).continue_()
        page.evaluate(A_MOMENT)

    return page, lines, state, answer


@pytest.mark.parametrize(("scroll", "name"), [(TO_THE_TOP, "cause_d"), (PAST_THE_LINE, "manner")])
def test_what_is_asked_moves_nothing_that_the_pointer_is_on(stating, scroll, name):
    page, lines, state, answer = stating
    control = page.locator(f"[name={name}]").first
    question = seen(page, "Check the order of the lines")
    for causes, count in ((WRONG_ORDER, 1), (WRONG_ORDER[::-1], 0), (WRONG_ORDER, 1)):
        state(*causes)
        # The pointer decides, not what was typed in last.
        lines[0].focus()
        lines[-1].evaluate(scroll)
        control.hover()
        before = control.evaluate(TOP_OF)
        answer()
        expect(question).to_have_count(count)
        assert control.evaluate(TOP_OF) == pytest.approx(before, abs=1)


def test_what_is_asked_moves_nothing_that_is_typed_in_beside_a_pointer_that_rests(stating):
    page, lines, state, answer = stating
    state(*WRONG_ORDER)
    page.get_by_label("natural").hover()
    line = lines[0]
    line.press("Shift")
    before = line.evaluate(TOP_OF)
    answer()
    expect(seen(page, "Check the order of the lines")).to_be_visible()
    assert line.evaluate(TOP_OF) == pytest.approx(before, abs=1)


def test_what_is_asked_no_more_leaves_no_gap_once_the_page_can_be_scrolled(stating):
    page, lines, state, answer = stating
    places = page.locator("[data-guidance-of]")
    room = "(all) => all.reduce((sum, one) => sum + one.offsetHeight, 0)"
    bare = places.evaluate_all(room)
    state(*WRONG_ORDER)
    answer()
    expect(seen(page, "Check the order of the lines")).to_be_visible()
    for scroll, name, is_bare in ((TO_THE_TOP, "cause_d", False), (PAST_THE_LINE, "manner", True)):
        state(*WRONG_ORDER[::-1])
        lines[-1].evaluate(scroll)
        page.locator(f"[name={name}]").first.hover()
        answer()
        expect(seen(page, "Check the order of the lines")).to_have_count(0)
        assert (places.evaluate_all(room) == bare) is is_bare


def test_what_is_asked_waits_until_nothing_is_pressed(stating):
    page, _, state, answer = stating
    question = seen(page, "Check the order of the lines")
    state(*WRONG_ORDER)
    page.get_by_label("natural").hover()
    page.mouse.down()
    answer()
    assert question.count() == 0
    page.mouse.up()
    expect(question).to_be_visible()
    expect(page.get_by_label("natural")).to_be_checked()


def test_what_is_asked_moves_nothing_that_the_wheel_brought_under_the_pointer(stating):
    page, lines, state, answer = stating
    state(*WRONG_ORDER)
    first, control = lines[0], page.locator("[name=contributing]")
    lies_lower = control.evaluate(TOP_OF) - first.evaluate(TOP_OF)
    first.evaluate("(one) => scrollTo(0, scrollY + one.getBoundingClientRect().top - 200)")
    first.hover()
    page.mouse.wheel(0, lies_lower)
    page.wait_for_function("(one) => one.matches(':hover')", arg=control.element_handle())
    before = control.evaluate(TOP_OF)
    answer()
    expect(seen(page, "Check the order of the lines")).to_be_visible()
    assert control.evaluate(TOP_OF) == pytest.approx(before, abs=1)


def test_what_is_asked_waits_for_no_release_that_a_menu_has_taken(stating):
    page, _, state, answer = stating
    state(*WRONG_ORDER)
    page.get_by_label("natural").hover()
    page.mouse.down()
    answer()
    question = seen(page, "Check the order of the lines")
    assert question.count() == 0
    page.evaluate("""() => document.body.dispatchEvent(
        new PointerEvent("pointermove", { bubbles: true, buttons: 0 }))""")
    expect(question).to_be_visible()


def test_the_list_of_texts_and_the_decedent_are_free_of_what_axe_finds(new_page, live_server):
    sedge, case = make_staff(Role.INVESTIGATOR, name="R. Sedge"), make_case()
    page = new_page(viewport={"width": 820, "height": 1180})
    enter(page, sedge, live_server)
    for path, template in {
        f"/cases/{case.pk}/decedent/": "cases/edit_decedent.html",
        "/help/statements/": "shell/statements.html",
        "/help/accessibility/": "shell/accessibility.html",
    }.items():
        assert page.goto(path).status == 200
        assert barriers(page, template) == []
    page.set_viewport_size({"width": 390, "height": 844})
    page.goto("/help/statements/?words=caution")
    assert page.evaluate("document.documentElement.scrollWidth") == 390
