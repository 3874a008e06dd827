"""Rehearsing an exhibit by keys alone, through a lost connection, on a desk and on a telephone."""

from __future__ import annotations

from typing import Any

import pytest
from playwright.sync_api import Page, Route, expect

from cases.rehearsal.models import RehearsalMark
from me_office.accounts.roles import Role
from tests.browser.visitor import barriers, barriers_in_both, enter
from tests.builders import make_case, make_staff
from tests.exhibits.builders import link_contusion, make_exhibit, make_photograph, make_set

pytestmark = pytest.mark.django_db(transaction=True)
PHONE = {"width": 390, "height": 844}


@pytest.fixture
def trial() -> Any:
    """A set of two exhibits; the first shows a bruise."""
    vasko = make_staff(Role.PATHOLOGIST, name="Dr. I. Vasko")
    case = make_case(by=vasko)
    made = make_set(vasko, case)
    for seed in (1, 2):
        photograph = make_photograph(vasko, case, seed)
        make_exhibit(vasko, made, photograph)
        if seed == 1:
            link_contusion(vasko, case, photograph)
    return made


def outcomes(witness: Any) -> list[tuple[str, str]]:
    rows = RehearsalMark.objects.filter(created_by=witness).order_by("id")
    return list(rows.values_list("question", "outcome"))


def answered(page: Page) -> Any:
    return page.expect_response(lambda answer: answer.url.endswith("/mark/"))


def test_an_exhibit_is_rehearsed_by_keys_through_a_lost_connection(
    new_page: Any, live_server: Any, trial: Any, complaints: list[str]
) -> None:
    page, vasko = new_page(), trial.created_by
    enter(page, vasko, live_server)
    root = f"/cases/{trial.case_id}/exhibits/{trial.pk}/rehearsal/"
    page.goto(root)
    assert barriers(page, "rehearsal/rehearsal.html") == []
    page.get_by_role("link", name="Begin with exhibit 1").click()
    asks = page.locator('[data-part="question"]:visible [data-part="asks"]')
    answer = page.locator('[data-part="question"]:visible [data-part="spoken"]')
    expect(asks).to_have_text("What is this a picture of?")
    expect(answer).to_be_hidden()
    # Who is asked of a picture sees it, can cover it, and reads no answer beside it.
    expect(page.get_by_role("main").get_by_role("img")).to_be_visible()
    expect(page.get_by_text("Hide", exact=True)).to_be_visible()
    assert "Right side of the back" not in page.locator("body").inner_text()
    page.locator("body").press("Space")
    expect(answer).to_contain_text("Right side of the back, 1.")
    assert barriers_in_both(page, "rehearsal/rehearse.html") == []
    # The button that says so has the focus: Enter presses it.
    with answered(page):
        page.keyboard.press("Enter")
    expect(asks).to_have_text("Which part of the body is this?")
    expect(answer).to_be_hidden()
    # Before the answer is seen nothing can be said of it.
    page.keyboard.press("2")
    expect(asks).to_have_text("Which part of the body is this?")
    page.keyboard.press("Space")
    page.context.set_offline(True)
    page.keyboard.press("2")
    expect(asks).to_have_text("Is there any injury here?")
    expect(page.locator("[data-outbox-words]")).to_contain_text("will be sent")
    assert len(outcomes(vasko)) == 1
    with answered(page):
        page.context.set_offline(False)
    expect(page.locator("[data-outbox-words]")).to_have_text("")
    # The browser notes on its console that it was offline.
    assert all("ERR_INTERNET_DISCONNECTED" in one for one in complaints)
    complaints.clear()
    first, second = outcomes(vasko)
    assert (first[1], second) == ("came", ("part", "again"))
    expect(page.locator('[data-part="progress"]')).to_contain_text("1 to come back to")
    _come_to_the_end(page, asks)
    expect(page.get_by_role("heading", name="Every answer came at once")).to_be_visible()
    expect(page.get_by_role("link", name="Exhibit 2")).to_be_focused()
    page.set_viewport_size(PHONE)
    page.goto(f"{root}whole/add/")
    assert barriers(page, "rehearsal/question_form.html") == []
    pictures: list[Route] = []
    page.route("**/screen/", lambda route: pictures.append(route))
    second = page.url.replace("rehearsal/whole/add/", f"exhibits/{_second(trial)}/rehearsal/")
    with page.expect_request("**/screen/"):
        page.goto(second, wait_until="domcontentloaded")
    expect(asks).to_have_text("What is this a picture of?")
    show = page.get_by_role("button", name="Show the answer")
    before = show.bounding_box()
    pictures[0].continue_()
    picture = page.get_by_role("main").get_by_role("img")
    expect(picture).to_have_js_property("complete", True)
    assert show.bounding_box() == before, "it waits where it is for its picture"
    wide = page.evaluate("document.documentElement.scrollWidth")
    assert wide <= PHONE["width"]
    # Picture, question and button stand on one screen, above what hangs on the page.
    box = show.bounding_box()
    assert box["y"] + box["height"] < PHONE["height"] - 48
    show.click()
    expect(answer).to_contain_text("Right side of the back, 2.")


def _come_to_the_end(page: Page, asks: Any) -> None:
    """Let every answer come; the one to come back to is asked again as the last."""
    last = ""
    while asks.count():
        last = asks.inner_text()
        page.keyboard.press("Enter")
        with answered(page):
            page.keyboard.press("1")
    assert last == "Which part of the body is this?"


def _second(trial: Any) -> Any:
    return trial.exhibits.order_by("position")[1].pk
