"""Two rounds of review with an opinion of the reviewer's own, to what follows the signature."""

from __future__ import annotations

from decimal import Decimal

import pytest
from playwright.sync_api import Page, expect

from cases.review import actions, peer_actions
from cases.review.amending import amend_record
from cases.review.models import ReportDraft
from me_office.audit.ids import new_id
from tests.browser.visitor import barriers, barriers_in_both, enter, seen
from tests.builders import PASSWORD, with_password
from tests.review.test_review import make_ready

pytestmark = pytest.mark.django_db(transaction=True)
RULES = {
    "opinion_manners": ["accident"], "opinion_under_age": None, "opinion_custody": False,
    "sheet_manners": ["accident"], "sheet_under_age": None, "sheet_custody": False,
    "share_percent": Decimal(0), "custody_places": "", "questions": "Rested?",
}  # fmt: skip


def comment(page: Page, where: str, words: str, weight: str) -> None:
    """Open the way to comment in a passage's margin, by keys, and say something."""
    passage = page.locator(where)
    way = passage.locator(".comment-new > summary")
    way.focus()
    page.keyboard.press("Enter")
    passage.get_by_label("Comment", exact=False).and_(passage.locator("textarea")).last.fill(words)
    passage.locator(".comment-new select[name=weight]").select_option(weight)
    passage.get_by_role("button", name="Add comment").click()
    expect(passage.locator(".comment-words", has_text=words)).to_be_visible()


def test_two_rounds_with_an_opinion_that_differs_to_addendum_and_amendment(page, live_server):
    case, vasko, thorne = make_ready()
    with_password(thorne)
    peer_actions.change_review_policy(
        thorne, record_id=new_id(), version=0, entry=RULES, reason="As agreed."
    )
    known = {"case_id": case.pk}
    first = actions.submit_report(
        vasko, record_id=new_id(), version=1, reviewer=thorne.pk, note="The fall was seen.", **known
    )
    enter(page, thorne, live_server)
    address = f"/cases/{case.pk}"

    # The author's opinion is held back, on its own page and on every other.
    page.goto(f"{address}/review/")
    expect(seen(page, "Held back.", exact=True)).to_be_visible()
    expect(page.get_by_text("He died of the injuries")).to_have_count(0)
    assert page.goto(f"{address}/cause-and-manner/").status == 403
    assert barriers(page, "review/held.html") == []
    page.get_by_role("link", name="Record your opinion").click()
    assert barriers_in_both(page, "review/opinion.html") == []
    page.get_by_label("Cause of death").fill("Cold, with injuries of the chest")
    page.get_by_label("Manner of death").select_option("undetermined")
    page.get_by_role("button", name="Record my opinion").click()

    # Side by side: the manner differs by itself, the cause by the reviewer's word.
    expect(seen(page, "The author’s cause: Blunt force injuries of the chest.")).to_be_visible()
    page.get_by_label("a different cause").check()
    page.get_by_role("button", name="Keep the comparison").click()
    expect(
        page.get_by_role("row", name="Manner could not be determined accident differs")
    ).to_be_visible()
    assert barriers(page, "review/opinion.html") == []

    # Comments of each weight, in the margin at this width and below the passage on a tablet.
    page.goto(f"{address}/review/")
    comment(page, "#passage-finding-1", "Say the side.", "must")
    comment(page, "#passage-manner", "Seen by whom?", "question")
    comment(page, "#passage-", "Reads well.", "suggestion")
    words = page.locator("#passage-finding-1 .passage-words").bounding_box()
    margin = page.locator("#passage-finding-1 .comment").bounding_box()
    assert margin["x"] >= words["x"] + words["width"]
    assert barriers_in_both(page, "review/review.html") == []
    page.set_viewport_size({"width": 820, "height": 1180})
    words = page.locator("#passage-finding-1 .passage-words").bounding_box()
    margin = page.locator("#passage-finding-1 .comment").bounding_box()
    assert margin["y"] >= words["y"] + words["height"]
    page.set_viewport_size({"width": 1440, "height": 900})
    expect(seen(page, "1 comment marked “must change” is not resolved.")).to_be_visible()
    page.get_by_label("What needs to change").fill("The side, and who saw it.")
    page.get_by_label("wording").check()
    page.get_by_role("button", name="Send back").click()
    expect(seen(page, "The draft went back to its author.")).to_be_visible()

    # The author answers each, changes the opinion and sends it again.
    for one in first.comments.all():
        actions.answer_comment(vasko, comment_id=one.pk, version=1, answer="Done.", **known)
    opinion = {
        "opinion": "He died of the injuries, of the right side.",
        "history": "",
        "summary": "",
    }
    actions.write_report(vasko, record_id=new_id(), version=3, entry=opinion, **known)
    actions.submit_report(vasko, record_id=new_id(), version=4, **known)

    # What is open goes on beside its passage; the disagreement is settled, the sheet is filled.
    page.goto(f"{address}/review/")
    must = page.locator("#passage-finding-1 .comment")
    expect(must).to_contain_text("on draft 1")
    expect(must).to_contain_text("The passage reads as it did.")
    must.locator("summary", has_text="Resolve").click()
    must.get_by_role("button", name="Mark as resolved").click()
    page.goto(f"{address}/review/opinion/")
    page.get_by_label("it stays; both opinions are on record").check()
    page.get_by_label("What was discussed").fill("We looked at the film together.")
    page.get_by_role("button", name="Keep how it was settled").click()
    expect(seen(page, "We looked at the film together.").first).to_be_visible()
    page.goto(f"{address}/review/outside/")
    assert barriers(page, "review/outside.html") == []
    page.goto(f"{address}/review/sheet/")
    assert barriers(page, "review/sheet.html") == []
    page.get_by_role("group", name="Rested?").get_by_label("yes").check()
    page.get_by_role("button", name="Save the sheet").click()
    page.locator("#sign").get_by_label("Your password").fill(PASSWORD)
    page.get_by_role("button", name="Sign the review and lock").click()
    expect(seen(page, "Reviewed and signed by")).to_be_visible()

    # What follows leaves what was signed as it is; nothing of the review is in the report.
    signed = ReportDraft.objects.get(case=case, number=2)
    said = signed.content, signed.sha256
    entry = {"kind": "addendum", "amends": "", "text": "A film came.", "why": "It came late."}
    actions.add_addendum(vasko, record_id=new_id(), entry=entry, **known)
    amend_record(
        vasko, record_id=new_id(), what="cause-and-manner", version=1,
        entry={"manner": "undetermined"}, reason="The film.", **known,
    )  # fmt: skip
    signed.refresh_from_db()
    assert (signed.content, signed.sha256) == said
    page.goto(f"{address}/report/")
    expect(seen(page, "A film came.").first).to_be_visible()
    expect(seen(page, "Amended by").first).to_be_visible()
    expect(page.get_by_text("Cold, with injuries of the chest")).to_have_count(0)
    page.goto("/review-rules/")
    assert barriers_in_both(page, "review/rules.html") == []
