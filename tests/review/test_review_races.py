"""Author and reviewers at once on one draft, on real connections: nothing is lost."""

from __future__ import annotations

import pytest

from cases.review import peer_actions, threads
from cases.review.models import CommentReply, ReviewComment, ReviewSheet
from me_office.accounts.roles import Role
from me_office.audit.ids import new_id
from tests.builders import make_staff
from tests.review.test_peer import answers, fill, rule, send
from tests.review.test_review import comment_on, make_ready

pytestmark = pytest.mark.django_db(transaction=True)


def run(at_once, *acts):
    found = at_once(
        lambda _, act: act(), by=[None] * len(acts), each=[{"act": act} for act in acts]
    )
    return sorted(outcome.code for outcome in found)


def test_three_who_speak_at_once_are_all_heard(at_once):
    case, vasko, thorne = make_ready()
    peer, draft = make_staff(Role.PATHOLOGIST), send(case, vasko)
    comment = comment_on(thorne, draft, "finding-1", "Which rib?")

    def says(person, words):
        return lambda: threads.reply_to_comment(
            person, case_id=case.pk, record_id=new_id(), comment_id=comment.pk, words=words
        )

    codes = run(
        at_once,
        says(vasko, "The sixth."),
        says(peer, "Or the seventh?"),
        lambda: comment_on(peer, draft, "finding-1", "And the side?"),
        lambda: threads.resolve_comment(
            thorne, case_id=case.pk, comment_id=comment.pk, version=1, words="Seen."
        ),
    )
    assert codes == ["done"] * 4
    said = set(CommentReply.objects.values_list("words", flat=True))
    assert said == {"The sixth.", "Or the seventh?"}
    assert ReviewComment.objects.count() == 2
    assert ReviewComment.objects.get(pk=comment.pk).resolved_words == "Seen."


def two_sheets(at_once):
    case, vasko, thorne = make_ready()
    rule(thorne, sheet_manners=["accident"], questions="Rested?")
    draft = send(case, vasko)
    made = fill(thorne, draft, answers("", ["Rested?"]))
    codes = run(
        at_once,
        *[
            lambda words=words: fill(
                thorne, draft, answers("no", ["Rested?"], words), version=made.version
            )
            for words in ("From the desk.", "From the tablet.")
        ],
    )
    return codes, ReviewSheet.objects.get()


def test_of_two_devices_of_one_reviewer_the_second_is_told(at_once):
    codes, sheet = two_sheets(at_once)
    assert codes == ["done", "stale"]
    assert sheet.version == 2


def test_without_the_version_the_first_words_would_be_lost(at_once, monkeypatch):
    """The control: both are taken, and one of the two texts is gone."""
    monkeypatch.setattr(peer_actions, "require_version", lambda record, version: None)
    codes, sheet = two_sheets(at_once)
    assert codes == ["done", "done"]
    assert sheet.version == 3
