"""The pages of rules of review, of the opinion, the sheet, and of whom a review is given to."""

from __future__ import annotations

from decimal import Decimal

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from cases.review.models import (
    DraftReview,
    IndependentOpinion,
    ReviewPolicy,
    ReviewSeed,
    ReviewSheet,
)
from cases.review.needs_rules import QUESTIONS
from me_office.accounts.roles import Role
from me_office.audit.ids import new_id
from tests.builders import PASSWORD, as_person, make_staff, with_password
from tests.review.peer import ACCIDENTS, OWN, answers, compare, fill, opine, rule, send, settle
from tests.review.test_review import injured


@pytest.fixture
def asked(ready):
    """An accident that was sent to review where accidents ask for an independent opinion."""
    case, vasko, thorne = ready
    rule(thorne, **ACCIDENTS)
    return case, vasko, thorne, send(case, vasko)


def test_the_pages_take_opinion_comparison_settling_and_sheet(ready):
    case, vasko, thorne = ready
    keys = {"case_id": case.pk}
    page = as_person(thorne)
    said = {
        "record_id": str(new_id()), "version": "0", "opinion_manners": ["accident"],
        "sheet_manners": ["accident"], "share_percent": "5", "reason": "From now on.",
    }  # fmt: skip
    assert page.post(reverse("review:rules"), {**said, "reason": ""}).status_code == 422
    assert page.post(reverse("review:rules"), said).status_code == 302
    shown = page.get(reverse("review:rules")).content.decode()
    assert ReviewSeed.objects.get().seed in shown and "From now on." in shown
    draft = send(case, vasko)
    asked = {"draft_id": str(draft.pk), "record_id": str(new_id()), "kind": "own"}
    wrong = page.post(reverse("review:opinion", kwargs=keys), asked)
    assert (wrong.status_code, "State the cause" in wrong.content.decode()) == (422, True)
    done = page.post(reverse("review:opinion", kwargs=keys), {**asked, **OWN})
    assert done.status_code == 302
    opinion = IndependentOpinion.objects.get()
    of_one = {**keys, "opinion_id": opinion.pk}
    answer = {"version": "1", "cause_agrees": "no"}
    assert page.post(reverse("review:agree", kwargs=of_one), {"version": "1"}).status_code == 422
    assert page.post(reverse("review:agree", kwargs=of_one), answer).status_code == 302
    assert page.post(reverse("review:settle", kwargs=of_one), {"version": "2"}).status_code == 422
    settled = {"version": "2", "how": "persuaded", "words": "The film shows the fall."}
    assert page.post(reverse("review:settle", kwargs=of_one), settled).status_code == 302
    address = reverse("review:sheet", kwargs=keys)
    sheet = {"draft_id": str(draft.pk), "record_id": str(new_id()), "version": "0"}
    refused = page.post(address, {**sheet, "answer_1": "no"})
    assert "Say in words what is wrong." in refused.content.decode()
    assert page.post(address, {**sheet, "answer_1": "no", "words_1": "Late."}).status_code == 302
    assert ReviewSheet.objects.get().answers[0]["words"] == "Late."
    give = {"draft_id": str(draft.pk), "version": "1", "reviewer": ""}
    assert page.post(reverse("review:give", kwargs=keys), give).status_code == 302
    for name in ("review:review", "review:opinion", "review:sheet"):
        assert page.get(reverse(name, kwargs=keys)).status_code == 200


def test_the_pages_name_a_reviewer_and_give_the_review_to_another(ready):
    case, vasko, thorne = ready
    with_password(vasko)
    keys = {"case_id": case.pk}
    sent = {"version": "1", "record_id": str(new_id()), "own_password": PASSWORD}
    answer = as_person(vasko).post(
        reverse("review:submit", kwargs=keys), {**sent, "reviewer": str(thorne.pk)}
    )
    assert answer.status_code == 302
    asked = DraftReview.objects.get(draft__case=case)
    assert asked.reviewer == thorne
    peer = make_staff(Role.PATHOLOGIST)
    give = {"draft_id": str(asked.draft_id), "version": "1", "reviewer": str(peer.pk)}
    assert as_person(thorne).post(reverse("review:give", kwargs=keys), give).status_code == 302
    asked.refresh_from_db()
    assert asked.reviewer == peer


def test_the_page_of_the_review_leads_to_what_is_lacking_and_says_what_is_complete(ready):
    case, vasko, thorne = ready
    rule(thorne, **ACCIDENTS, sheet_manners=["accident"], share_percent=Decimal(10))
    draft = send(case, vasko)
    keys = {"case_id": case.pk}

    def shown(person):
        return person.get(reverse("review:review", kwargs=keys)).content.decode()

    assert settle(thorne, compare(thorne, opine(thorne, draft), agrees=True))
    page = shown(as_person(thorne))
    link = reverse("review:sheet", kwargs=keys)
    assert f'<a href="{link}">9 questions of the review sheet are not answered.</a>' in page
    assert page.count(">Not complete<") == 1 and page.count(">Complete<") == 1
    assert "by lot for a review sheet</summary>" in page
    fill(thorne, draft, answers())
    page = shown(as_person(thorne))
    assert page.count(">Complete<") == 2 and "Before you can sign" not in page
    rules = as_person(thorne).get(reverse("review:rules")).content.decode()
    assert "for a review sheet: accident" in rules
    assert "1 entr" not in rules and "Only: yes" not in rules
    assert f'href="{reverse("review:rules")}">Rules of review</a>' in page
    office = reverse("checking:office")
    assert "Rules of review" in as_person(thorne).get(office).content.decode()
    keeper = as_person(make_staff(Role.ADMINISTRATOR, name="J. Birch"))
    refused = keeper.get(reverse("review:rules"))
    assert refused.status_code == 403
    assert "may not see the rules of review" in refused.content.decode()
    # Whoever would be refused is not led there; who may not change them reads what is asked now.
    clerk = as_person(make_staff(Role.RECORDS_CLERK, name="J. Ostrander"))
    assert "Rules of review" not in shown(clerk) + clerk.get(office).content.decode()
    ReviewPolicy.objects.update(questions="Is the manner right?")
    reader = as_person(make_staff(Role.PATHOLOGIST, name="N. Amadi"))
    read = reader.get(reverse("review:rules")).content.decode()
    assert "Is the manner right?" in read and QUESTIONS[0].text not in read


def test_the_pages_need_the_same_statements_for_many_findings(asked):
    case, vasko, thorne, _ = asked
    page = as_person(thorne)

    def statements():
        found = []
        for name in ("review:opinion", "review:sheet", "review:review"):
            with CaptureQueriesContext(connection) as shown:
                page.get(reverse(name, kwargs={"case_id": case.pk}))
            found.append(len(shown))
        return found

    few = statements()
    examination = case.examination
    for number in range(2, 60):
        injured(case, examination, vasko, number)
    assert statements() == few
