"""Whatever is lacking before review or closing leads to the page where it is mended."""

from __future__ import annotations

from itertools import product
from uuid import UUID

import pytest
from django.urls import resolve, reverse

from cases.review.rules import (
    ClosingFacts,
    Readiness,
    missing_before_closing,
    missing_before_review,
)
from cases.review.where import with_pages
from tests.builders import as_person

KEY = UUID(int=7)
YES_OR_NO = (True, False)


def pages(sentences):
    return {
        sentence: resolve(page.partition("#")[0]).view_name
        for sentence, page in with_pages(sentences, KEY)
    }


def test_every_sentence_has_one_page():
    found = {}
    for *said, comments in product(*[YES_OR_NO] * 5, (0, 1, 2)):
        found |= pages(missing_before_review(Readiness(*said, comments)))
    for said in product(*[YES_OR_NO] * 4):
        found |= pages(missing_before_closing(ClosingFacts(*said)))
    assert found == {
        "The examination has not been opened.": "findings:examination",
        "The examination has no end time.": "findings:examination",
        "It is not recorded that the circumstances were reviewed.": "findings:examination",
        "Cause and manner are not stated; “pending” can be stated.": (
            "certification:cause-and-manner"
        ),
        "The opinion is not written.": "review:report",
        "1 comment is not answered.": "review:review",
        "2 comments are not answered.": "review:review",
        "An examination is opened: its report has to be written and finished.": "review:report",
        "The scene is neither recorded nor stated as not visited.": "cases:scene",
        "The body is neither received nor stated as not received here.": "cases:body",
        "The body is in the office: record its release first.": "remains:remains",
    }


def test_a_sentence_that_nobody_gave_a_page_is_noticed():
    with pytest.raises(ValueError, match="unpack"):
        with_pages(["The moon is not full."], KEY)


@pytest.mark.django_db
def test_the_report_page_links_what_it_lacks(ready):
    case, vasko, _ = ready
    type(case.examination).objects.update(ended_at=None)
    type(case.report).objects.update(opinion="")
    page = as_person(vasko).get(reverse("review:report", args=[case.pk])).content.decode()
    examination = reverse("findings:examination", args=[case.pk])
    assert f'<a href="{examination}">The examination has no end time.</a>' in page
    opinion = reverse("review:report", args=[case.pk]) + "#id_opinion_field"
    assert f'<a href="{opinion}">The opinion is not written.</a>' in page
    assert 'id="id_opinion_field"' in page
