"""Short keys in a browser: typed, Tab to the blank, taken back, chosen from the list, kept."""

from __future__ import annotations

import pytest
from playwright.sync_api import expect

from cases.drafting.actions import add_office_word, keep_short_key
from me_office.accounts.roles import Role
from me_office.audit.ids import new_id
from tests.browser.visitor import barriers, enter, seen
from tests.builders import as_person, make_case, make_staff

pytestmark = pytest.mark.django_db(transaction=True)
PAINTED_TWICE = "new Promise(done => requestAnimationFrame(() => requestAnimationFrame(done)))"

LUNG = "The [ ] lung weighs [ ] g."


def test_a_short_key_becomes_its_text_and_tab_goes_to_its_blanks(page, live_server):
    vasko, case = make_staff(Role.PATHOLOGIST, name="I. Vasko"), make_case()
    for key, text in (("nohem", "No hemorrhage beneath it."), ("lung", LUNG)):
        entry = {"key": key, "text": text}
        keep_short_key(vasko, record_id=new_id(), version=0, entry=entry)
    enter(page, vasko, live_server)
    address = f"/cases/{case.pk}/cause-and-manner/"
    as_person(vasko).get(address)  # a page of many parts takes its time where nobody looked at it
    late = []
    page.route("**/drafting/keys/", lambda route: late.append(route), times=1)
    page.goto(address)
    basis = page.get_by_label("What the opinion rests on")
    basis.click()
    # Whoever typed on before the texts were there keeps what they typed.
    basis.press_sequentially("Cold. /nohem it")
    with page.expect_response("**/drafting/keys/"):
        late[0].continue_()
    page.evaluate(PAINTED_TWICE)
    expect(basis).to_have_value("Cold. /nohem it")
    basis.fill("")
    basis.press_sequentially("Seen. /nohem ")
    expect(basis).to_have_value("Seen. No hemorrhage beneath it. ")
    expect(seen(page, "Kept on this device")).to_be_visible()
    basis.press("Control+z")
    expect(basis).to_have_value("Seen. /nohem ")
    # A path or a fraction is none, and a key that nobody keeps stays as it was typed.
    basis.fill("")
    basis.press_sequentially("and/nohem /none ")
    expect(basis).to_have_value("and/nohem /none ")

    basis.fill("")
    basis.press_sequentially("/lung ")
    page.keyboard.type("left")
    page.keyboard.press("Tab")
    page.keyboard.type("420")
    expect(basis).to_have_value("The left lung weighs 420 g. ")
    page.keyboard.press("Tab")
    expect(basis).not_to_be_focused()

    basis.fill("")
    basis.press_sequentially("/lung ")
    page.keyboard.press("Escape")
    page.keyboard.press("Tab")
    expect(basis).not_to_be_focused()

    basis.fill("First. ")
    basis.press_sequentially("//")
    page.get_by_label("Find a short key or a word of its text").fill("beneath")
    page.keyboard.press("Enter")
    expect(basis).to_have_value("First. No hemorrhage beneath it.")
    expect(basis).to_be_focused()
    page.get_by_role("button", name="Insert a text").click()
    page.get_by_role("button", name="/lung").click()
    expect(basis).to_have_value(f"First. No hemorrhage beneath it.{LUNG}")

    # The button goes from one text to the next without moving what is being pressed.
    page.get_by_label("Other significant conditions").click()
    top = "(one) => one.getBoundingClientRect().top"
    basis.hover()
    before = basis.evaluate(top)
    page.mouse.down()
    page.evaluate(PAINTED_TWICE)
    assert basis.evaluate(top) == before
    page.mouse.up()
    expect(basis.locator("+ button")).to_have_text("Insert a text")
    assert basis.evaluate(top) == pytest.approx(before, abs=1)


def test_the_pages_of_short_keys_and_words_are_free_of_what_axe_finds(page, live_server):
    vasko = make_staff(Role.PATHOLOGIST, name="I. Vasko")
    entry = {"key": "nohem", "text": LUNG, "shared": True}
    made = keep_short_key(vasko, record_id=new_id(), version=0, entry=entry)
    add_office_word(vasko, record_id=new_id(), entry={"word": "bogginess"})
    enter(page, vasko, live_server)
    for path, template in {
        "/drafting/": "drafting/short_keys.html",
        "/drafting/words/": "drafting/words.html",
        f"/drafting/{made.pk}/": "drafting/short_key.html",
    }.items():
        assert page.goto(path).status == 200
        assert barriers(page, template) == []
