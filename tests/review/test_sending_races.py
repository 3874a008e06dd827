"""A report is sent while somebody changes what it says: all of it is in, or it is refused."""

from __future__ import annotations

import os
import sys
import threading

import pytest
from django.utils import timezone

from cases import actions as file
from cases.certification.actions import state_cause_and_manner
from cases.models import Case, Decedent
from cases.review import actions
from cases.review.content import report_content
from cases.review.models import ReportDraft
from cases.review.rules import digest_of
from findings import actions as findings
from findings.organs.actions import weigh_organ
from findings.systems.actions import decide_part
from findings.systems.slide_actions import record_slide
from me_office.accounts.roles import Role
from me_office.audit.ids import new_id
from tests.builders import make_staff
from tests.cases.entries import seen_at_scene
from tests.cases.test_body import step
from tests.evidence.items import take
from tests.meeting import Meeting
from tests.review.test_review import make_people, make_ready, sent

pytestmark = pytest.mark.django_db(transaction=True)
LATE = {"reason": "Seen later"}
# Each room that a report reads: one more act of it, by somebody else than who sends.
EDITS = {
    "finding": lambda by, case, key: findings.change_finding(
        by, finding_id=case.finding_set.get().pk, version=1,
        entry={"colour": "blue", "measured_by": "ruler"}, **key, **LATE,
    ),
    "layer": lambda by, case, key: findings.record_layer(
        by, finding_id=case.finding_set.get().pk, record_id=new_id(),
        entry={"layer": "subcutis", "examined": True, "found": "Bleeding"}, **key, **LATE,
    ),
    "meaning": lambda by, case, key: findings.record_interpretation(
        by, finding_id=case.finding_set.get().pk, record_id=new_id(),
        entry={"statement": "A fall", "standing": "consistent with", "ground": "Its place",
               "confidence": "moderate"}, **key, **LATE,
    ),
    "body system": lambda by, case, key: decide_part(
        by, part="liver", record_id=new_id(), version=0,
        entry={"decision": "described", "words": "Yellow."}, **key, **LATE,
    ),
    "slide": lambda by, case, key: record_slide(
        by, record_id=new_id(),
        entry={"label": "A1", "tissue": "liver", "stain": "", "seen": "Fat.",
               "read_by": "Dr. I. Vasko", "read_on": timezone.localdate()}, **key, **LATE,
    ),
    "organ weight": lambda by, case, key: weigh_organ(
        by, record_id=new_id(), entry={"organ": "liver", "weight_g": 1500}, **key, **LATE
    ),
    "cause and manner": lambda by, case, key: state_cause_and_manner(
        by, record_id=new_id(), version=1, entry={"cause_a": "Cold", "manner": "natural"}, **key,
        **LATE,
    ),
    "identification": lambda by, case, key: file.record_identification(
        by, record_id=new_id(), entry=step(), **key
    ),
    "decedent": lambda by, case, key: file.describe_decedent(
        by, version=Decedent.objects.get(case=case).version, entry={"given_names": "Otto"}, **key
    ),
    "scene": lambda by, case, key: file.record_scene(
        by, version=0, record_id=new_id(), entry=seen_at_scene(), **key
    ),
    "specimen": lambda by, case, key: take(by, case),
    "report": lambda by, case, key: actions.write_report(
        by, record_id=new_id(), version=1, entry={"opinion": "Another."}, **key
    ),
}  # fmt: skip


# Two of them in every run; EVERY_ROOM=1 tries them all.
EVERY_ROOM = bool(os.environ.get("EVERY_ROOM"))
ROOMS = list(EDITS) if EVERY_ROOM else ["finding", "cause and manner"]


@pytest.fixture
def while_it_is_read(at_once, monkeypatch):
    """Run an act whose report was read already, and beside it another; return how both came out."""

    def run(act, edit):
        meeting, was_read = Meeting(2), threading.Event()

        def read(*said):
            content = report_content(*said)
            was_read.set()
            meeting.arrive()
            return content

        def after():
            assert was_read.wait(10)
            return edit()

        monkeypatch.setattr(actions, "report_content", read)
        found = at_once(
            lambda _, act: act(),
            by=[None, None], each=[{"act": act}, {"act": after}], meeting=meeting,
        )  # fmt: skip
        monkeypatch.setattr(actions, "report_content", report_content)
        return [one.code for one in found]

    return run


def tried(while_it_is_read, names, begin):
    """Return, by room, how the edit came out and whether what was sent is what the file says."""
    people, found = make_people(), {}
    by = make_staff(*Role)
    for name in names:
        case, vasko, thorne = make_ready(people)
        act = begin(case, vasko, thorne)
        one, other = while_it_is_read(
            act, lambda name=name, case=case: EDITS[name](by, case, {"case_id": case.pk})
        )
        assert one == "done", name
        draft = ReportDraft.objects.get(case=case)
        found[name] = (other, digest_of(report_content(case.pk)) == draft.sha256)
    return found


def sending(case, vasko, thorne):
    return lambda: sent(case, vasko)


def test_what_is_changed_while_a_report_is_sent_is_refused_and_leaves_it_as_it_is(while_it_is_read):
    found = tried(while_it_is_read, ROOMS, sending)
    assert found == dict.fromkeys(ROOMS, ("not_allowed", True))


def test_without_the_lock_a_report_would_be_sent_that_is_not_what_the_file_says(
    while_it_is_read, monkeypatch
):
    """The control: the record is changed, and what was sent does not say it."""
    for name, module in list(sys.modules.items()):
        if hasattr(module, "case_for_update") and name != "cases.review.actions":
            monkeypatch.setattr(module, "case_for_update", lambda key: Case.objects.get(pk=key))
    rooms = [name for name in EDITS if name != "report"] if EVERY_ROOM else ["finding"]
    found = tried(while_it_is_read, rooms, sending)
    assert found == dict.fromkeys(rooms, ("done", False))
