"""What weight a comment has and who may settle it, without a database."""

from __future__ import annotations

import pytest

from cases.review.comment_rules import (
    RETURN_CAUSES,
    Weight,
    became,
    must_words,
    unknown_causes,
    why_not_resolve,
)


def test_every_weight_has_words():
    assert [one.value for one in Weight] == ["must", "suggestion", "question"]
    assert [one.words for one in Weight] == ["must change", "suggestion", "question"]


def test_what_is_not_resolved_is_said_in_numbers():
    assert must_words(0) == ""
    assert must_words(1) == "1 comment marked “must change” is not resolved."
    assert must_words(2) == "2 comments marked “must change” are not resolved."


@pytest.mark.parametrize(
    ("own", "wrote", "may"),
    [
        (True, ["the report"], True),
        (True, [], True),
        (False, [], True),
        (False, ["findings"], False),
    ],
)
def test_who_wrote_of_the_report_settles_no_comment_of_another(own, wrote, may):
    why = why_not_resolve(own_comment=own, wrote=wrote)
    assert (why == "") is may
    assert may or "You wrote findings of this report" in why


def test_what_became_of_a_passage_is_said():
    assert became(stood=False, reads_as_before=False) == "The passage is no longer in the draft."
    assert became(stood=True, reads_as_before=True) == "The passage reads as it did."
    assert became(stood=True, reads_as_before=False) == "The passage has changed since."


def test_a_cause_of_return_is_one_of_the_list():
    causes = ["wording", "findings", "support", "disagree", "pictures", "record", "other"]
    assert list(RETURN_CAUSES) == causes
    assert len(set(RETURN_CAUSES.values())) == len(causes)
    assert unknown_causes(causes) == []
    assert unknown_causes(["wording", "mood"]) == ["mood"]
