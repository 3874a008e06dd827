"""An answer delivered by a clerk and fetched by a stranger, in a browser."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor

import pytest
from django.db import connection
from playwright.sync_api import expect

from cases.answers import tasks
from cases.answers.models import Answer, Opening
from tests.answers.decided import asked_answer, decided_request
from tests.browser.visitor import barriers, enter, seen
from tests.packets.builders import make_clerk, signed_case

pytestmark = pytest.mark.django_db(transaction=True)


def _built(answer: Answer) -> str:
    try:
        return tasks.build_answer(request_id=str(answer.pk))
    finally:
        connection.close()


def test_a_clerk_delivers_an_answer_and_a_stranger_fetches_it_with_the_code(new_page, live_server):
    clerk = make_clerk()
    case = signed_case()
    asked = decided_request(case, clerk, outcomes={"P 2": "withhold"})
    answer = asked_answer(asked, clerk)
    # The browser has a loop in this thread, and the library that signs wants one of its own.
    with ThreadPoolExecutor(1) as apart:
        assert apart.submit(_built, answer).result() == "made"
    page = new_page()
    enter(page, clerk, live_server)
    page.goto(f"/cases/{case.pk}/answers/{answer.pk}/")
    assert barriers(page, "answers/answer.html") == []
    page.get_by_role("link", name="Deliver").click()
    page.get_by_label("by download").check()
    page.get_by_label("everything that was asked for").check()
    assert barriers(page, "answers/deliver.html") == []
    page.get_by_role("button", name="Deliver").click()
    expect(seen(page, "Shown once.")).to_be_visible()
    assert barriers(page, "answers/delivered.html") == []
    address = page.locator("code").first.inner_text()
    code = page.locator("code").nth(1).inner_text()
    stranger = new_page()
    stranger.goto(address)
    assert barriers(stranger, "answers/pick_up.html") == []
    stranger.get_by_label("Code").fill("AAAA-AAAA")
    stranger.get_by_role("button", name="Continue").click()
    expect(seen(stranger, "does not open anything").first).to_be_visible()
    stranger.get_by_label("Code").fill(code.lower())
    stranger.get_by_role("button", name="Continue").click()
    expect(stranger.get_by_role("heading", name="Records to download")).to_be_visible()
    assert barriers(stranger, "answers/pick_up_open.html") == []
    with stranger.expect_download() as fetched:
        stranger.get_by_role("link", name="Download").click()
    assert fetched.value.suggested_filename.endswith("-answer-1.zip")
    assert fetched.value.path().stat().st_size == Answer.objects.get(pk=answer.pk).size_bytes
    page.goto(f"/cases/{case.pk}/answers/{answer.pk}/")
    expect(seen(page, "downloaded whole").first).to_be_visible()
    assert set(Opening.objects.values_list("what", flat=True)) == {
        "wrong code", "code", "began", "whole",
    }  # fmt: skip
    page.get_by_role("link", name="Close the address").click()
    assert barriers(page, "shell/confirm_in_case.html") == []
    page.get_by_role("link", name="Leave it as it is").click()
    page.get_by_role("link", name="All answers").click()
    assert barriers(page, "answers/answers.html") == []
    page.get_by_role("link", name="Answer 1").click()
    page.get_by_role("link", name="Report of examination, as signed").click()
    assert barriers(page, "answers/find_page.html") == []
    expect(page.get_by_role("link", name="Open the record")).to_be_visible()
