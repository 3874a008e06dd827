"""Whoever had a part in a report does not review it, whoever pressed "send"."""

from __future__ import annotations

import itertools

import pytest

from cases.certification.actions import state_cause_and_manner
from cases.review import actions
from cases.review.authorship import PARTS, parts_written_by
from cases.review.rules import ALLOWED_MOVES, ReportState, can_move, why_no_reviewer
from findings.models import Finding, Interpretation
from findings.systems.actions import decide_part
from me_office.accounts.models import Staff
from me_office.accounts.roles import Role
from me_office.audit.errors import NotAllowed, Refused
from me_office.audit.ids import new_id
from tests.builders import make_staff
from tests.review.test_review import send_back, sent


def both_roles(name: str) -> Staff:
    return make_staff(Role.PATHOLOGIST, Role.SUPERVISOR, name=name)


def sign_off(actor, case, draft):
    return actions.sign_off(
        actor, case_id=case.pk, record_id=new_id(), draft_id=draft.pk, sha256=draft.sha256
    )


def test_the_refusal_says_what_they_wrote():
    assert why_no_reviewer([]) == ""
    assert why_no_reviewer(["findings", "the report"]).startswith("You wrote this report and")
    assert why_no_reviewer(["findings"]).startswith("You wrote findings of this report and")
    three = why_no_reviewer(["cause and manner", "findings", "interpretations"])
    assert three.startswith("You wrote cause and manner, findings and interpretations of")


def test_the_writer_of_a_report_does_not_sign_it_off_when_a_colleague_sends_it(ready):
    case, vasko, thorne = ready
    vasko.groups.add(*thorne.groups.all())
    vasko = Staff.objects.get(pk=vasko.pk)
    draft = sent(case, make_staff(Role.PATHOLOGIST, name="Dr. Other"))
    with pytest.raises(NotAllowed, match="You wrote this report"):
        sign_off(vasko, case, draft)
    assert sign_off(both_roles("A peer"), case, draft).outcome == "signed"


def test_each_part_keeps_its_writer_from_reviewing_it(ready):
    case, vasko, _ = ready
    finding = Finding.objects.get(case=case)
    changed, meaning, cause, words, looked = (both_roles(name) for name in "ABCDE")
    finding.changed_by = changed
    finding.save()
    Interpretation.objects.create(
        case=case, finding=finding, statement="A fall", standing="consistent with",
        created_by=meaning, changed_by=meaning,
    )  # fmt: skip
    state_cause_and_manner(
        cause, case_id=case.pk, record_id=new_id(), version=1,
        entry={"cause_a": "Blunt force injuries of chest"},
    )  # fmt: skip
    decide_part(
        looked, case_id=case.pk, part="liver", record_id=new_id(), version=0,
        entry={"decision": "described", "words": "Yellow."}, reason="Seen later",
    )  # fmt: skip
    # What was overwritten since stands in the trail only.
    state_cause_and_manner(
        vasko, case_id=case.pk, record_id=new_id(), version=2,
        entry={"cause_a": "Blunt force injuries of the chest"},
    )  # fmt: skip
    actions.write_report(
        words, case_id=case.pk, record_id=new_id(), version=1, entry={"summary": "In short."}
    )
    draft = actions.submit_report(vasko, case_id=case.pk, record_id=new_id(), version=2)
    expected = {
        changed: "You wrote findings of",
        meaning: "You wrote interpretations of",
        cause: "You wrote cause and manner of",
        words: "You wrote this report",
        looked: "You wrote the examination of",
    }
    for person, said in expected.items():
        with pytest.raises(NotAllowed, match=said):
            sign_off(person, case, draft)
    assert len(PARTS) == 13


def test_sending_back_is_no_writing(ready):
    case, vasko, _ = ready
    peer = both_roles("A peer")
    draft = sent(case, vasko)
    send_back(peer, draft)
    assert parts_written_by(peer.pk, case.pk) == []
    again = actions.submit_report(vasko, case_id=case.pk, record_id=new_id(), version=3)
    assert sign_off(peer, case, again).outcome == "signed"


@pytest.mark.parametrize(("now", "to"), list(itertools.product(ReportState, repeat=2)))
def test_every_pair_of_moves_of_a_report(now, to):
    allowed = {
        ("draft", "submitted"),
        ("submitted", "returned"),
        ("submitted", "signed"),
        ("returned", "submitted"),
    }
    assert can_move(now, to) == ((now.value, to.value) in allowed)
    assert set(ALLOWED_MOVES) == set(ReportState)


def test_a_report_that_was_sent_back_is_not_signed(ready):
    case, vasko, _ = ready
    peer = both_roles("A peer")
    draft = sent(case, vasko)
    send_back(peer, draft)
    with pytest.raises((NotAllowed, Refused)):
        sign_off(peer, case, draft)
