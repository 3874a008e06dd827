"""Later acts: a key is answered only to who still may; past the service a change is told."""

from __future__ import annotations

from typing import Any

import psycopg
import pytest
from django.contrib.auth.models import Group

from cases.models import Case, Decedent
from cases.remains import actions as remains
from cases.remains.models import BodyHold
from cases.review import amending, closing
from cases.rules.case import CaseState
from evidence.custody import handing
from evidence.results import actions as results
from evidence.specimens import actions as evidence
from evidence.specimens.models import Specimen
from me_office.accounts.models import Staff
from me_office.accounts.roles import Role
from me_office.audit.errors import NotKnown
from me_office.audit.ids import new_id
from me_office.audit.models import AuditEvent
from tests.audit.test_keys import under
from tests.builders import make_case, make_staff
from tests.cases.entries import ago
from tests.custody.test_receipts import ENTRY
from tests.evidence.items import specimen_entry, take
from tests.evidence.test_kits import SWABS, TRAY, record
from tests.remains.builders import body_in, bring_back, hold, hold_entry, leaving, release
from tests.results.builders import OXYCODONE, report_of, result_entry
from tests.review.test_amending import STEP
from tests.review.test_closing import close, said, settled


def everybody() -> Staff:
    """Somebody who may do each of the acts."""
    return make_staff(Role.PATHOLOGIST, Role.SUPERVISOR, Role.EVIDENCE_TECHNICIAN, name="I. Vasko")


def _with_item(by: Staff) -> dict[str, Any]:
    thing = take(by, make_case())
    return {"case_id": thing.case_id, "items": [(thing.item_id, 1)]}


def _with_part(by: Staff) -> dict[str, Any]:
    case = make_case()
    record(by, case, TRAY[:2], seal_number="TC 1")
    box = record(by, case, SWABS, kind="sexual assault", seal_number="TC 2")
    part = Specimen.objects.get(case=case, item__number=3)
    return {"case_id": case.pk, "specimen_id": part.pk, "kit_id": box.pk, "label": "9"}


def _signed(_: Staff) -> dict[str, Any]:
    case = make_case(state=CaseState.SIGNED)
    return {"case_id": case.pk, "version": Decedent.objects.get(case=case).version}


def _closed(by: Staff) -> dict[str, Any]:
    case = settled()
    return {"case_id": case.pk, "version": close(case, by).version}


def _held(_: Staff) -> dict[str, Any]:
    case = body_in()
    return {"case_id": case.pk, "record_id": hold(case).pk}


# act: what has to be there, and what is sent beside; None is a new key.
ACTS = {
    evidence.move_part: (_with_part, {"version": 1, "reason": "Wrong tray."}),
    handing.hand_to_agency: (_with_item, {"record_id": None, "entry": ENTRY}),
    remains.release_body: (
        lambda _: {"case_id": body_in().pk}, {"record_id": None, "entry": leaving()},
    ),
    remains.place_hold: (
        lambda _: {"case_id": body_in().pk}, {"record_id": None, "entry": hold_entry()},
    ),
    remains.lift_hold: (_held, {"version": 1, "reason": "Seen."}),
    closing.close_case: (
        lambda _: {"case_id": settled().pk}, {"record_id": None, "version": 1, "entry": said()},
    ),
    closing.reopen_case: (_closed, {"reason": "The family asks."}),
    amending.amend_record: (
        _signed,
        {"record_id": None, "what": "decedent", "entry": {"sex": "male"}, "reason": "Seen."},
    ),
    amending.amend_identity: (
        lambda by: {"case_id": _signed(by)["case_id"]},
        {"record_id": None, "step_id": None, "entry": STEP, "reason": "DNA."},
    ),
    results.record_result: (
        lambda _: {"case_id": make_case().pk}, {"record_id": None, "entry": result_entry()},
    ),
    evidence.record_kit: (
        lambda _: {"case_id": make_case().pk}, {"record_id": None, "parts": SWABS},
    ),
}  # fmt: skip


def _sent(act: Any, by: Staff) -> dict[str, Any]:
    before, beside = ACTS[act]
    sent = {**before(by), **beside}
    if act is evidence.record_kit:
        sent["entry"] = {**specimen_entry(by), "kind": "cassettes", "description": ""}
    return {name: new_id() if value is None else value for name, value in sent.items()}


@pytest.mark.django_db
@pytest.mark.parametrize("act", ACTS, ids=lambda act: act.__name__)
def test_a_key_is_answered_again_only_while_the_person_may(act):
    by, key = everybody(), new_id()
    sent = _sent(act, by)
    first = under(key, act, by, **sent)
    last = AuditEvent.objects.latest("id").pk
    assert under(key, act, by, **sent).pk == first.pk
    case = Case.objects.filter(pk=sent["case_id"])
    case.update(restricted=True)
    with pytest.raises(NotKnown):
        under(key, act, by, **sent)
    case.update(restricted=False)
    for roles in (Group.objects.filter(name=Role.ADMINISTRATOR.value), []):
        by.groups.set(roles)
        with pytest.raises(NotKnown):
            under(key, act, Staff.objects.get(pk=by.pk), **sent)
    new = AuditEvent.objects.filter(id__gt=last).exclude(table__startswith="accounts_")
    assert set(new.values_list("table", flat=True)) <= {"cases_case"}, "nothing was done again"


# A column of each table that a case's later course is kept in, and what is written into it.
CHANGED = {
    "results_result": "statement = 'Nothing was found.'",
    "results_resultline": "value = '0.04'",
    "results_resultitem": "version = 7",
    "evidence_kit": "description = 'Other'",
    "evidence_item": "kit_correction = 'Never moved.'",
    "custody_agencyreceipt": "received_by = 'Nobody'",
    "custody_transfer": "to_where = 'there'",
    "remains_bodyhold": "lifted_at = now()",
    "remains_bodyrelease": "released_to = 'Another home'",
    "remains_bodyreturn": "tag_number = 'T-9'",
    "review_caseclosing": "why = 'Other'",
}


@pytest.mark.django_db(transaction=True)
def test_past_the_service_a_change_is_told_and_an_author_stays(application_role):
    by = everybody()
    case = make_case()
    thing = take(by, case)
    report_of(by, case, lines=[OXYCODONE], items=[thing.item_id])
    record(by, case, TRAY[:2], seal_number="TC 1")
    handing.hand_to_agency(
        by, case_id=case.pk, record_id=new_id(), items=[(thing.item_id, 1)], entry=ENTRY
    )
    body = body_in()
    hold(body)
    BodyHold.objects.update(lifted_at=ago(hours=8), lifted_why="Seen.", lifted_by=by)
    release(body)
    bring_back(body)
    close(settled(), by)
    other = make_staff(Role.INVESTIGATOR)
    for table, change in CHANGED.items():
        with pytest.raises(psycopg.errors.InsufficientPrivilege):
            application_role.execute(f"UPDATE {table} SET created_by_id = '{other.pk}'")
        last = AuditEvent.objects.latest("id").pk
        changed = application_role.execute(f"UPDATE {table} SET {change}").rowcount
        told = AuditEvent.objects.filter(id__gt=last, table=table, source="database")
        assert told.count() == changed > 0, table
        assert {one.actor_id for one in told} == {None}, table
        assert all(change.partition(" ")[0] in one.changes for one in told), table
