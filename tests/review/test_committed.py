"""What only a committed case shows: two who decide at once, and the lock in the database."""

from __future__ import annotations

import json

import psycopg
import pytest

from cases.certification.models import Certification
from cases.review import actions
from cases.review.models import Addendum, ReviewDecision
from me_office.accounts.roles import Role
from me_office.audit.ids import new_id
from tests.builders import make_staff
from tests.review.test_amending import amend
from tests.review.test_review import make_ready, sent, signed

ATTACKS = {
    "change a finding": "UPDATE findings_finding SET term = 'Abrasion' WHERE case_id = %(case)s",
    "withdraw a finding": "UPDATE findings_finding SET voided_at = now() WHERE case_id = %(case)s",
    "change the manner": (
        "UPDATE certification_certification SET manner = 'natural' WHERE case_id = %(case)s"
    ),
    "change the name": "UPDATE cases_decedent SET family_name = 'Other' WHERE case_id = %(case)s",
    "change the report": "UPDATE review_report SET opinion = 'Other' WHERE case_id = %(case)s",
    "change the signed text": "UPDATE review_reportdraft SET sha256 = '' WHERE case_id = %(case)s",
    "change who signed": (
        "UPDATE review_reviewdecision SET signed_as = 'Other' WHERE case_id = %(case)s"
    ),
    "reopen the case": "UPDATE cases_case SET state = 'open' WHERE id = %(case)s",
    "give it another number": "UPDATE cases_case SET number = 'X' WHERE id = %(case)s",
    "add a second finding": (
        "INSERT INTO findings_finding SELECT (jsonb_populate_record(f, jsonb_build_object("
        "'id', gen_random_uuid(), 'number', 99))).* FROM findings_finding f"
        " WHERE case_id = %(case)s"
    ),
}


@pytest.mark.django_db(transaction=True)
def test_the_database_refuses_what_may_not_follow(application_role):
    case, vasko, thorne = make_ready()
    signed(case, vasko, thorne)
    for name, statement in ATTACKS.items():
        with pytest.raises(psycopg.errors.InsufficientPrivilege, match="signed and locked"):
            assert application_role.execute(statement, {"case": case.pk}).rowcount, name
    change = "UPDATE certification_certification SET manner = 'natural' WHERE case_id = %s"
    # An amendment that names something else, or that is of another transaction, opens nothing.
    made = amend(vasko, case, interval_a="minutes")
    with pytest.raises(psycopg.errors.InsufficientPrivilege):
        application_role.execute(change, [case.pk])
    with pytest.raises(psycopg.errors.InsufficientPrivilege), application_role.transaction():
        copied(application_role, made, made.changes)
        application_role.execute(change, [case.pk])
    # One that names it lets it pass, and stands in file and trail for good.
    key = str(Certification.objects.get(case=case).pk)
    named = [{"table": "certification_certification", "record": key, "field": "manner"}]
    with application_role.transaction():
        copied(application_role, made, named)
        application_role.execute(change, [case.pk])
    assert Certification.objects.get(case=case).manner == "natural"
    assert Addendum.objects.count() == 2
    with pytest.raises(psycopg.errors.InsufficientPrivilege):
        application_role.execute(
            "UPDATE review_addendum SET why = 'Other' WHERE case_id = %s", [case.pk]
        )


def copied(raw: psycopg.Connection, made: Addendum, changes: list[dict[str, str]]) -> None:
    raw.execute(
        "INSERT INTO review_addendum SELECT (jsonb_populate_record(a, jsonb_build_object("
        "'id', gen_random_uuid(), 'number', 2, 'changes', %s::jsonb))).*"
        " FROM review_addendum a WHERE id = %s",
        [json.dumps(changes), made.pk],
    )


def test_two_who_decide_at_once_make_one_decision(at_once):
    case, vasko, thorne = make_ready()
    draft = sent(case, vasko)
    peer = make_staff(Role.PATHOLOGIST)
    shared = {"case_id": case.pk, "draft_id": draft.pk, "sha256": draft.sha256}
    keys = [{"record_id": new_id()}, {"record_id": new_id()}]
    found = at_once(actions.sign_off, by=[thorne, peer], each=keys, **shared)
    assert sorted(one.code for one in found).count("done") == 1
    assert ReviewDecision.objects.count() == 1
