"""Drafts opened as they were sent, and compared: page and API, to whoever may see the case."""

from __future__ import annotations

import re
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from cases.models import Case
from cases.review import actions
from cases.review.models import ReportDraft
from findings.models import Finding
from me_office.accounts.models import Staff
from me_office.accounts.roles import Role
from me_office.audit.ids import new_id
from tests.builders import MOMENT, as_person, make_staff
from tests.review.test_review import comment_on


@pytest.fixture
def twice(sent_once: Any) -> tuple[Case, Staff, Staff]:
    """A case of which two drafts were sent: the first was commented on and sent back."""
    case, vasko, thorne, first = sent_once
    comment = comment_on(thorne, first, "finding-1", "Which rib?")
    actions.return_report(
        thorne, case_id=case.pk, record_id=new_id(), draft_id=first.pk, words="See the comment."
    )
    actions.answer_comment(
        vasko, case_id=case.pk, comment_id=comment.pk, version=1, answer="The sixth."
    )
    Finding.objects.filter(case=case, number=1).update(length_mm=95)
    actions.submit_report(vasko, case_id=case.pk, record_id=new_id(), version=3)
    return case, vasko, thorne


def page(person: Staff, name: str, case: Case, words: str = "", **keys: Any) -> tuple[int, str]:
    address = reverse(f"review:{name}", kwargs={"case_id": case.pk, **keys})
    answer = as_person(person).get(f"{address}{words}")
    return answer.status_code, answer.content.decode()


def test_what_changed_since_the_draft_before_is_told_word_by_word(twice):
    case, _, thorne = twice
    status, said = page(thorne, "compare", case, "?before=1&after=2")
    assert status == 200
    removed, added = (re.findall(rf"<{tag}>.*?</{tag}>", said) for tag in ("del", "ins"))
    assert len(removed) == len(added) == 1 and "11.0" in removed[0] and "9.5" in added[0]
    assert "Finding 1" in said and "1 passage differs" in said
    # From the review to it and to the first draft, one click each.
    review = page(thorne, "review", case)[1]
    compare = reverse("review:compare", args=[case.pk])
    assert f'href="{compare}?before=1&amp;after=2"' in review
    assert f'href="{reverse("review:draft", args=[case.pk, 1])}"' in review


def test_a_comment_that_was_answered_with_nothing_changed_is_noticed(twice):
    case, vasko, thorne = twice
    assert "reads as it did" not in page(thorne, "review", case)[1]
    second = ReportDraft.objects.get(case=case, number=2)
    comment = comment_on(thorne, second, "finding-1", "Which rib, again?")
    actions.return_report(
        thorne, case_id=case.pk, record_id=new_id(), draft_id=second.pk, words="Once more."
    )
    actions.answer_comment(vasko, case_id=case.pk, comment_id=comment.pk, version=1, answer="Done.")
    actions.submit_report(vasko, case_id=case.pk, record_id=new_id(), version=5)
    said = page(thorne, "review", case)[1]
    assert said.count("The passage reads as it did.") == 1
    assert said.index("Which rib, again?") < said.index("The passage reads as it did.")


def test_a_draft_is_compared_with_the_case_file_now_until_it_is_locked(twice):
    case, vasko, _ = twice
    assert "Both say the same" in page(vasko, "compare", case)[1]
    Case.objects.filter(pk=case.pk).update(state="signed", signed_at=MOMENT)
    said = page(vasko, "compare", case)[1]
    assert "The case file now" not in said and "9.5" in said
    assert page(vasko, "compare", case, "?before=1&after=now")[0] == 422


@pytest.mark.parametrize(
    "words", ["?before=1&after=9", "?before=x", "?after=2", "?before=-1&after=2"]
)
def test_what_cannot_be_compared_is_said_beside_the_field(twice, words):
    status, said = page(twice[1], "compare", twice[0], words)
    assert status == 422 and 'aria-invalid="true"' in said and "<del>" not in said


def test_a_draft_is_read_as_it_was_sent_with_its_comments(twice):
    case, vasko, _ = twice
    status, said = page(vasko, "draft", case, number=1)
    assert status == 200 and "11.0 × 6.5 cm" in said and "9.5" not in said
    assert "Which rib?" in said and "The sixth." in said and "See the comment." in said
    assert "<textarea" not in said, "a draft of before takes no comment and no answer"
    assert page(vasko, "draft", case, number=9)[0] == 404


def test_one_draft_alone_and_none_at_all(sent_once, db):
    case, vasko, _, _ = sent_once
    assert "Both say the same" in page(vasko, "compare", case)[1]
    Case.objects.filter(pk=case.pk).update(state="signed", signed_at=MOMENT)
    assert "nothing to compare it with" in page(vasko, "compare", case)[1]


def test_drafts_of_a_case_are_for_those_who_may_see_it(twice):
    case, _, _ = twice
    clerk = make_staff(Role.RECORDS_CLERK, name="Q. Ostrander")
    other = make_staff(Role.PATHOLOGIST, name="N. Amadi")
    Case.objects.filter(pk=case.pk).update(restricted=True)
    for name, keys in (("compare", {}), ("draft", {"number": 1})):
        statuses = {page(one, name, case, **keys)[0] for one in (clerk, other)}
        assert statuses <= {403, 404}, (name, statuses)
    path = f"/api/cases/{case.pk}/drafts/1/compared-with/2/"
    assert as_person(other).get(path).status_code in (403, 404)


def test_the_api_tells_the_same(twice):
    case, vasko, _ = twice
    browser = as_person(vasko)
    found = browser.get(f"/api/cases/{case.pk}/drafts/1/compared-with/2/").json()
    (one,) = found
    assert (one["key"], one["kind"], one["called"]) == ("finding-1", "changed", "Finding 1")
    assert {"of": "after", "words": "a 9.5"} in one["pieces"]
    assert browser.get(f"/api/cases/{case.pk}/drafts/2/compared-with/now/").json() == []
    assert browser.get(f"/api/cases/{case.pk}/drafts/2/compared-with/9/").status_code == 404
    assert browser.get(f"/api/cases/{case.pk}/drafts/1/").json()["number"] == 1
    assert browser.get(f"/api/cases/{case.pk}/drafts/7/").status_code == 404


def test_the_pages_need_the_same_statements_for_many_comments(twice):
    case, vasko, thorne = twice

    def statements(name: str, **keys: Any) -> int:
        with CaptureQueriesContext(connection) as asked:
            page(vasko, name, case, **keys)
        return len(asked)

    few = statements("draft", number=2), statements("compare")
    draft = ReportDraft.objects.get(case=case, number=2)
    for n in range(10):
        comment_on(thorne, draft, "finding-1", f"Question {n}?")
    assert (statements("draft", number=2), statements("compare")) == few
