"""A record of one case is nothing under the address of another, whoever asks with whatever else."""

from __future__ import annotations

import pytest
from django.test import override_settings
from django.utils import timezone

from cases.certification.filing import record_follow_up
from cases.certification.models import FollowUp
from cases.checking import actions as checking
from cases.checking.models import CheckAnswer, CheckSetAside
from cases.review import actions, peer_actions, threads
from cases.review.models import DraftReview, IndependentOpinion
from cases.signatures.second import sign_second
from findings.systems.models import MicroscopicSlide
from findings.systems.slide_actions import change_slide, void_slide
from me_office.accounts.roles import Role
from me_office.audit.errors import NotKnown, Refused
from me_office.audit.ids import new_id
from me_office.audit.models import AuditEvent
from tests.builders import make_staff
from tests.results.builders import report_of
from tests.review.peer import OWN, answers
from tests.review.test_outside import finish_outside
from tests.review.test_review import comment_on, make_ready, send_back, sent, signed

pytestmark = pytest.mark.django_db


def made(model, case, by, **fields):
    return model.objects.create(case=case, created_by=by, changed_by=by, **fields)


@override_settings(SECOND_SIGNATURE=True)
def test_no_act_reaches_from_one_case_into_another():
    vasko, thorne = make_ready()[1:]
    here, there, ended, signed_here = (make_ready((vasko, thorne))[0] for _ in range(4))
    own, other = sent(here, vasko), sent(there, vasko)
    comment = comment_on(thorne, other, "opinion", "Which?")
    opinion = made(IndependentOpinion, there, thorne, draft=other, **OWN)
    send_back(thorne, sent(ended, vasko))
    signed(signed_here, vasko, thorne)
    answer = made(CheckAnswer, there, vasko, key="x", words="x", answer="confirmed", why="x")
    aside = made(CheckSetAside, there, vasko, key="x", rule="x", words="x", why="x")
    slide = made(
        MicroscopicSlide, there, vasko, examination=there.examination, number=1, label="A1",
        tissue="liver", seen="Fat.", read_by="V.", read_on=timezone.localdate(),
    )  # fmt: skip
    waits = made(
        FollowUp, there, vasko, awaited="histology", follow_up_on=timezone.localdate()
    )  # fmt: skip
    late = report_of(vasko, there)
    review, version = {"case_id": here.pk}, {"version": 1, "reason": "x"}
    opened, closed = {"case_id": ended.pk}, {"case_id": signed_here.pk}
    clerk = make_staff(Role.RECORDS_CLERK)
    by_draft = {"draft_id": other.pk, "record_id": new_id(), **review}
    acts = [
        lambda: actions.comment_on_passage(thorne, passage="opinion", comment="x", **by_draft),
        lambda: actions.return_report(thorne, words="x", **by_draft),
        lambda: actions.sign_off(thorne, sha256=other.sha256, **by_draft),
        lambda: finish_outside(clerk, here, other),
        lambda: peer_actions.give_review(thorne, case_id=here.pk, draft_id=other.pk, version=1),
        lambda: peer_actions.fill_sheet(thorne, version=0, answers=answers(), **by_draft),
        lambda: peer_actions.record_opinion(thorne, entry=OWN, **by_draft),
        lambda: peer_actions.compare_opinion(
            thorne, opinion_id=opinion.pk, cause_agrees=True, version=1, **review
        ),
        lambda: peer_actions.settle_disagreement(
            thorne, opinion_id=opinion.pk, how="stays", words="x", version=1, **review
        ),
        lambda: threads.reply_to_comment(
            thorne, record_id=new_id(), comment_id=comment.pk, words="x", **review
        ),
        lambda: threads.resolve_comment(thorne, comment_id=comment.pk, version=1, **review),
        lambda: threads.reopen_comment(thorne, comment_id=comment.pk, **version, **review),
        lambda: actions.answer_comment(
            vasko, comment_id=comment.pk, version=1, answer="x", **opened
        ),
        lambda: checking.withdraw_answer(vasko, record_id=answer.pk, **version, **opened),
        lambda: checking.point_out_check_again(vasko, record_id=aside.pk, **version, **opened),
        lambda: change_slide(vasko, slide_id=slide.pk, entry={"seen": "x"}, **version, **opened),
        lambda: void_slide(vasko, slide_id=slide.pk, **version, **opened),
        lambda: record_follow_up(
            vasko, record_id=waits.pk, **version, **opened,
            entry={"awaited": "histology", "follow_up_on": timezone.localdate()},
        ),
        lambda: actions.add_addendum(
            vasko, record_id=new_id(), rests_on=late.pk, **closed,
            entry={"kind": "addendum", "text": "x", "why": "x"},
        ),
        lambda: sign_second(
            thorne, record_id=new_id(), addendum_id=comment.pk, sha256="", **closed
        ),
    ]  # fmt: skip
    before = AuditEvent.objects.count()
    for number, act in enumerate(acts):
        with pytest.raises((NotKnown, Refused)) as refused:
            act()
        assert not {other.sha256, "Which?"} & set(str(refused.value).split()), number
    assert AuditEvent.objects.count() == before
    assert DraftReview.objects.get(draft=own).reviewer is None
