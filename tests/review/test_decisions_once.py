"""A report is sent and decided on once; a retry is answered to whom it belongs, and as it was."""

from __future__ import annotations

import pytest

from cases.actions import restrict_case
from cases.models import Case
from cases.review import actions
from cases.review.models import ReportDraft, ReviewDecision
from me_office.accounts.roles import Role
from me_office.audit.errors import Conflict, NotAllowed, NotKnown
from me_office.audit.ids import new_id
from tests.builders import make_staff
from tests.review.test_review import sent

pytestmark = pytest.mark.django_db


def decide(act, actor, case, draft, key, **said):
    if act is actions.return_report:
        said = {"words": "Again, please.", **said}
    else:
        said = {"sha256": draft.sha256, **said}
    return act(actor, **{"case_id": case.pk, "record_id": key, "draft_id": draft.pk, **said})


@pytest.mark.parametrize("act", [actions.return_report, actions.sign_off])
def test_a_decision_sent_twice_is_one_and_with_other_content_none(ready, act):
    case, vasko, thorne = ready
    draft, key = sent(case, vasko), new_id()
    first = decide(act, thorne, case, draft, key)
    assert decide(act, thorne, case, draft, key).pk == first.pk
    with pytest.raises(Conflict) as refused:
        decide(act, thorne, case, draft, key, words="Other words.")
    assert refused.value.record == first
    with pytest.raises(Conflict):
        decide(act, thorne, case, draft, key, draft_id=new_id())
    other = next(one for one in (actions.return_report, actions.sign_off) if one is not act)
    with pytest.raises(Conflict):
        decide(other, thorne, case, draft, key)
    assert ReviewDecision.objects.count() == 1


def test_a_digest_that_was_not_signed_is_no_retry(ready):
    case, vasko, thorne = ready
    draft, key = sent(case, vasko), new_id()
    decide(actions.sign_off, thorne, case, draft, key)
    with pytest.raises(Conflict):
        decide(actions.sign_off, thorne, case, draft, key, sha256="0" * 64)


@pytest.mark.parametrize("act", [actions.return_report, actions.sign_off])
def test_a_decision_is_not_told_to_who_may_not_know_it(ready, act):
    case, vasko, thorne = ready
    draft, key = sent(case, vasko), new_id()
    decide(act, thorne, case, draft, key)
    with pytest.raises(NotAllowed):
        decide(act, make_staff(Role.EVIDENCE_TECHNICIAN), case, draft, key)
    with pytest.raises(Conflict):
        decide(act, make_staff(Role.PATHOLOGIST, Role.SUPERVISOR), case, draft, key)
    case.refresh_from_db()
    restrict_case(
        make_staff(Role.SUPERVISOR), case_id=case.pk, version=case.version, members=[], reason="Kin"
    )
    with pytest.raises(NotKnown):
        decide(act, make_staff(Role.PATHOLOGIST, Role.SUPERVISOR), case, draft, key)


def test_a_report_sent_twice_is_one_draft_and_with_another_note_none(ready):
    case, vasko, _ = ready
    key = new_id()

    def send(by, note="First"):
        return actions.submit_report(by, case_id=case.pk, record_id=key, version=1, note=note)

    first = send(vasko)
    assert Case.objects.get(pk=case.pk).state == "in review"
    assert send(vasko).pk == first.pk
    with pytest.raises(Conflict):
        send(vasko, note="Other")
    with pytest.raises(Conflict):
        send(make_staff(Role.PATHOLOGIST))
    with pytest.raises(NotAllowed):
        send(make_staff(Role.INVESTIGATOR))
    assert ReportDraft.objects.count() == 1
