"""Author and reviewers at once on one draft, on real connections: nothing is lost."""

from __future__ import annotations

import io

import pytest
from django.utils import timezone

from cases.models import Case
from cases.review import actions, peer_actions, signed_pdf, threads
from cases.review.models import (
    CommentReply,
    ReviewComment,
    ReviewDecision,
    ReviewSheet,
    SignedPdf,
)
from cases.signatures import keeping
from cases.signatures.keeping import Made, keep_signed_report, plan_of_report
from cases.signatures.models import SignedDocument
from evidence import store
from evidence.store.models import StoredFile
from me_office.accounts.roles import Role
from me_office.audit.ids import new_id
from tests.builders import make_staff
from tests.meeting import Meeting
from tests.review.peer import answers, fill, rule, send
from tests.review.test_outside import finish_outside
from tests.review.test_review import comment_on, make_ready, signed

pytestmark = pytest.mark.django_db(transaction=True)


def run(at_once, *acts, **more):
    found = at_once(
        lambda _, act: act(), by=[None] * len(acts), each=[{"act": act} for act in acts], **more
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


def test_of_all_who_decide_at_once_one_does_and_no_open_must_is_signed_over(at_once):
    case, vasko, thorne = make_ready()
    peer, clerk = make_staff(Role.PATHOLOGIST), make_staff(Role.RECORDS_CLERK)
    draft = send(case, vasko)
    known = {"case_id": case.pk, "draft_id": draft.pk}

    def signs(by):
        return lambda: actions.sign_off(by, record_id=new_id(), sha256=draft.sha256, **known)

    codes = run(
        at_once,
        signs(thorne),
        signs(peer),
        lambda: actions.return_report(vasko, record_id=new_id(), words="Mine again.", **known),
        lambda: finish_outside(clerk, case, draft),
        lambda: actions.comment_on_passage(
            peer, record_id=new_id(), passage="opinion", comment="No.", weight="must", **known
        ),
    )
    decision = ReviewDecision.objects.get()
    state = Case.objects.get(pk=case.pk).state
    assert state == ("open" if decision.outcome == "returned" else "signed")
    assert codes.count("done") == 1 + ReviewComment.objects.count()
    assert decision.outcome == "returned" or not ReviewComment.objects.exists()


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


def keeps_twice(at_once, **more):
    case, vasko, thorne = make_ready()
    draft = signed(case, vasko, thorne)
    plan = plan_of_report(draft, ReviewDecision.objects.get())

    def keeps(pdf):
        def act():
            with store.receive(io.BytesIO(pdf), name="report.pdf") as incoming:
                return keep_signed_report(
                    thorne, draft_id=draft.pk, incoming=incoming, pages=1, lines={},
                    made=Made(pdf, plan, timezone.now()),
                )  # fmt: skip

        return act

    return run(at_once, keeps(b"%PDF one"), keeps(b"%PDF other"), **more)


def test_two_jobs_that_sign_one_report_keep_one_file(at_once):
    assert keeps_twice(at_once) == ["done", "done"]
    kept, document = SignedPdf.objects.get(), SignedDocument.objects.get()
    assert document.file == kept.file
    assert [one.role for one in document.signatures.all()] == ["author", "reviewer"]
    assert StoredFile.objects.get() == kept.file


def test_without_the_lock_two_jobs_would_stumble_over_each_other(at_once, monkeypatch):
    """The control: both find nothing kept, and one is refused by the table."""
    meeting = Meeting(2)
    monkeypatch.setattr(
        keeping, "case_for_update", lambda key: (Case.objects.get(pk=key), meeting.arrive())[0]
    )
    monkeypatch.setattr(
        signed_pdf, "case_for_update", lambda key: (Case.objects.get(pk=key), meeting.arrive())[0]
    )
    codes = keeps_twice(at_once, meeting=meeting)
    assert meeting.all_met and codes != ["done", "done"]
