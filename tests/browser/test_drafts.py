"""What is typed beside others on one page outlives a lost sign-in and a refusal."""

from __future__ import annotations

from typing import Any

import pytest
from django.urls import reverse
from playwright.sync_api import Page, expect

from findings.models import Finding
from tests.browser.visitor import barriers, enter, seen
from tests.review.test_review import comment_on, make_people, make_ready, send_back, sent

pytestmark = pytest.mark.django_db(transaction=True)


def test_comments_and_answers_of_one_page_are_kept_each_by_itself(
    page: Page, live_server: Any
) -> None:
    vasko, thorne = people = make_people()
    case, *_ = make_ready(people)
    draft = sent(case, vasko)
    for words in ("Which rib?", "How long?"):
        comment_on(thorne, draft, "finding-1", words)
    review = reverse("review:review", kwargs={"case_id": case.pk})

    # A comment in a fold opens it again.
    enter(page, thorne, live_server)
    page.goto(review)
    page.locator("#passage-cause summary", has_text="Comment").first.click()
    comment = page.get_by_label("Comment on this passage").and_(page.locator(":visible"))
    comment.fill("Say from which side.")
    page.reload()
    expect(seen(page, "was kept on this device. It has been restored")).to_be_visible()
    expect(comment).to_have_value("Say from which side.")
    page.get_by_role("button", name="Discard").click()
    send_back(thorne, draft)

    # Two answers are begun; one is sent without a sign-in, then with nothing but a blank.
    rib, long = (page.get_by_label(f"“{words}”") for words in ("Which rib?", "How long?"))
    send = page.get_by_role("button", name="Answer “Which rib?”")
    enter(page, vasko, live_server)
    page.goto(review)
    long.fill("Two centimeters.")
    rib.fill("The sixth.")
    page.context.clear_cookies(name="sessionid")
    send.click()
    expect(page.get_by_role("heading", name="Sign in")).to_be_visible()
    enter(page, vasko, live_server)
    page.goto(review)
    expect(rib).to_have_value("The sixth.")
    expect(long).to_have_value("Two centimeters.")
    rib.fill(" ")
    send.click()
    expect(page.get_by_role("alert")).to_be_visible()
    expect(long).to_have_value("Two centimeters.")
    rib.fill("The seventh.")
    send.click()
    expect(seen(page, "The seventh.")).to_be_visible()
    expect(rib).to_have_value("")  # the thread goes on
    expect(long).to_have_value("Two centimeters.")
    expect(page.locator(".kept")).to_have_count(1)

    # The draft as it was sent, and what the case file says otherwise now.
    Finding.objects.filter(case=case, number=1).update(length_mm=95)
    page.get_by_role("link", name="Draft 1").click()
    expect(seen(page, "The seventh.")).to_be_visible()
    assert barriers(page, "review/draft.html") == []
    page.get_by_role("link", name="What changed since").click()
    expect(page.get_by_role("insertion")).to_contain_text("a 9.5")
    expect(page.get_by_role("deletion")).to_contain_text("an 11.0")
    assert barriers(page, "review/compare.html") == []
