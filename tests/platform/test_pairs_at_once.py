"""Two different acts on one case at the same moment: one after the other, with one true end."""

from __future__ import annotations

from datetime import timedelta
from importlib import import_module

import pytest

from cases.models import Case
from cases.remains import actions as remains
from cases.remains.models import BodyHold
from cases.review import actions as review
from cases.review import amending, closing
from cases.review.late import results_waiting
from cases.review.models import Addendum
from evidence.custody import actions as custody
from evidence.custody import handing
from evidence.custody.models import Transfer
from evidence.items.models import Item
from evidence.results.models import Result
from evidence.specimens import actions as evidence
from evidence.specimens.models import Specimen
from findings.actions import open_examination
from findings.models import Examination
from me_office.accounts.roles import Role
from me_office.audit.ids import new_id
from tests.builders import make_case, make_staff
from tests.cases.entries import ago
from tests.custody.test_custody import moved
from tests.custody.test_receipts import ENTRY, LATER
from tests.evidence.items import specimen_entry, take
from tests.evidence.test_kits import SWABS, TRAY, record
from tests.meeting import Meeting
from tests.remains.builders import body_in, hold_entry, leaving, technician
from tests.results.builders import report_of
from tests.review.test_closing import close, said, settled
from tests.review.test_review import make_ready, sent

pytestmark = pytest.mark.django_db(transaction=True)
OPENED = {
    "kind": "external", "chart_body": "adult_male", "began_at": ago(hours=2), "place": "Room 1",
    "kind_reason": "No ground for more.",
}  # fmt: skip
WHERE = (
    "cases.queries", "cases.review.actions", "cases.review.amending", "cases.review.closing",
)  # fmt: skip


@pytest.fixture
def both(at_once, monkeypatch):
    """Run two acts; return how each came out, and whether both were in the case at once."""

    def run(one, other, *, locked=True):
        meeting = Meeting(2)
        real = import_module("cases.queries").case_for_update

        def entered(key):
            case = real(key) if locked else Case.objects.get(pk=key)
            meeting.arrive()
            return case

        for name in WHERE:
            monkeypatch.setattr(f"{name}.case_for_update", entered)
        outcomes = at_once(
            lambda _, act: act(),
            by=[None, None], each=[{"act": one}, {"act": other}], meeting=meeting,
        )  # fmt: skip
        return [outcome.code for outcome in outcomes], meeting.all_met

    return run


def test_a_part_is_moved_to_one_place(both):
    vasko, case = make_staff(Role.PATHOLOGIST), make_case()
    record(vasko, case, TRAY[:2], seal_number="TC 1")
    box = record(vasko, case, SWABS, kind="sexual assault", seal_number="TC 2")
    part = Specimen.objects.get(item__number=3)
    shared = {"case_id": case.pk, "specimen_id": part.pk, "version": 1, "reason": "Wrong tray."}
    codes, met = both(
        lambda: evidence.move_part(vasko, kit_id=box.pk, label="3", **shared),
        lambda: evidence.take_part_out(
            vasko, entry=specimen_entry(vasko, seal_number="TC 9"), **shared
        ),
    )
    assert (sorted(codes), met) == (["done", "stale"], False)
    in_box = Item.objects.get(number=3).container_id == box.item_id
    assert in_box is (codes[0] == "done")


def handed_and_moved(both, **more):
    renn, case = make_staff(Role.EVIDENCE_TECHNICIAN), make_case()
    thing = take(make_staff(Role.PATHOLOGIST), case)
    codes, met = both(
        lambda: handing.hand_to_agency(
            renn, case_id=case.pk, record_id=new_id(), items=[(thing.item_id, 1)], entry=ENTRY
        ),
        lambda: custody.record_transfer(
            renn, case_id=case.pk, item_id=thing.item_id, record_id=new_id(), version=1,
            entry=moved(at=LATER + timedelta(minutes=1)),
        ),
        **more,
    )  # fmt: skip
    return codes, met, thing


def test_an_item_leaves_by_receipt_or_by_a_transfer(both):
    codes, met, thing = handed_and_moved(both)
    assert (sorted(codes), met) == (["done", "stale"], False)
    assert Transfer.objects.filter(item=thing.item).count() == 2


def test_without_the_lock_on_the_case_both_would_be_in_it(both):
    """The control: the meeting is seen where the lock is left out."""
    _, met, _ = handed_and_moved(both, locked=False)
    assert met


def test_a_case_is_closed_or_its_examination_is_opened(both):
    vasko, case = make_staff(Role.PATHOLOGIST), settled()
    lead = make_staff(Role.SUPERVISOR)
    codes, met = both(
        lambda: closing.close_case(
            lead, case_id=case.pk, record_id=new_id(), version=1, entry=said()
        ),
        lambda: open_examination(vasko, case_id=case.pk, record_id=new_id(), entry=OPENED),
    )
    assert codes.count("done") == 1 and not met
    assert Examination.objects.filter(case=case).exists() is (codes[1] == "done")


def test_a_closed_case_is_opened_again_once(both):
    lead, case = make_staff(Role.SUPERVISOR), settled()
    version = close(case, lead).version
    codes, met = both(
        *[
            lambda: closing.reopen_case(
                lead, case_id=case.pk, version=version, reason="The family asks."
            )
        ]
        * 2
    )
    assert (sorted(codes), met) == (["done", "refused"], False)


def test_a_hold_keeps_the_body_or_comes_after_it_left(both):
    case, quill, renn = body_in(), make_staff(Role.INVESTIGATOR), technician()
    codes, met = both(
        lambda: remains.release_body(renn, case_id=case.pk, record_id=new_id(), entry=leaving()),
        lambda: remains.place_hold(quill, case_id=case.pk, record_id=new_id(), entry=hold_entry()),
    )
    assert codes[1] == "done" and codes[0] in {"done", "refused"} and not met
    case.refresh_from_db()
    assert (case.body_in_since is None) is (codes[0] == "done")
    assert BodyHold.objects.count() == 1


def test_of_two_amendments_of_one_datum_one_stands(both):
    case, vasko, thorne = make_ready()
    draft = sent(case, vasko)
    finish(case, thorne, draft)
    acts = [
        lambda manner=manner: amending.amend_record(
            vasko, case_id=case.pk, record_id=new_id(), what="cause-and-manner", version=1,
            entry={"manner": manner}, reason="Toxicology",
        )
        for manner in ("homicide", "suicide")
    ]  # fmt: skip
    codes, met = both(*acts)
    assert (sorted(codes), met) == (["done", "stale"], False)
    assert Addendum.objects.count() == 1


def finish(case, thorne, draft):
    return review.sign_off(
        thorne, case_id=case.pk, record_id=new_id(), draft_id=draft.pk, sha256=draft.sha256
    )


def test_a_result_is_in_what_is_signed_or_waits_as_late(both):
    case, vasko, thorne = make_ready()
    draft = sent(case, vasko)
    codes, met = both(lambda: finish(case, thorne, draft), lambda: report_of(vasko, case))
    assert codes[1] == "done" and not met
    assert list(results_waiting(vasko)) == (
        list(Result.objects.all()) if codes[0] == "done" else []
    )
