"""Past the actions, too, a state is followed only by what the rules let follow."""

from __future__ import annotations

import re

import psycopg
import pytest

from cases.court import rules as court
from cases.court.models import RecordsRequest
from cases.models import Case
from cases.review import rules as review
from cases.review.actions import write_report
from cases.review.models import Report
from cases.rules.case import ALLOWED_MOVES, CaseState
from me_office.accounts.roles import Role
from me_office.audit.ids import new_id
from tests.builders import MOMENT, make_case, make_staff, set_back
from tests.packets.builders import make_request


def passes(raw: psycopg.Connection, statement: str, values: list[str]) -> bool:
    try:
        with raw.transaction():
            assert raw.execute(statement, values).rowcount == 1
            raise psycopg.Rollback
    except psycopg.errors.CheckViolation:
        return True  # the move passed; that the row lacks its date is another rule's
    except psycopg.errors.InsufficientPrivilege as error:
        assert re.search("does not follow|does not begin|signed and locked", str(error))
        return False
    return True


def moves_that_pass(raw: psycopg.Connection, model, record, states) -> set[tuple[str, str]]:
    table = model._meta.db_table
    found = set()
    for was in states:
        dated = {"signed_at": MOMENT if was == CaseState.SIGNED else None} if model is Case else {}
        set_back(model.objects.filter(pk=record.pk), state=was, **dated)
        for to in states:
            statement = f"UPDATE {table} SET state = %s WHERE id = %s"
            if was != to and passes(raw, statement, [to, str(record.pk)]):
                found.add((str(was), str(to)))
    return found


def as_pairs(table) -> set[tuple[str, str]]:
    return {(str(was), str(to)) for was, after in table.items() for to in after}


@pytest.mark.django_db(transaction=True)
def test_the_database_lets_the_same_moves_pass_as_the_rules(application_role):
    case, vasko = make_case(state=CaseState.OPEN), make_staff(Role.PATHOLOGIST)
    asked = make_request(case, make_staff(Role.RECORDS_CLERK))
    report = write_report(
        vasko, case_id=case.pk, record_id=new_id(), version=0, entry={"opinion": "Fall"}
    )
    for model, record, moves in (
        (RecordsRequest, asked, court.ALLOWED_MOVES),
        (Report, report, review.ALLOWED_MOVES),
        (Case, case, ALLOWED_MOVES),
    ):
        allowed = {(str(was), str(to)) for was, after in moves.items() for to in after}
        assert moves_that_pass(application_role, model, record, list(moves)) == allowed


@pytest.mark.django_db(transaction=True)
def test_no_case_begins_as_signed(application_role):
    case = make_case(state=CaseState.OPEN)
    copy = (
        "INSERT INTO cases_case SELECT (jsonb_populate_record(c, jsonb_build_object("
        "'id', gen_random_uuid(), 'number', left(gen_random_uuid()::text, 8), 'number_running', 9,"
        " 'signed_at', now(), 'state', %s::text))).* FROM cases_case c WHERE id = %s"
    )
    for state in CaseState:
        begins = state == CaseState.REPORTED
        assert passes(application_role, copy, [state, str(case.pk)]) == begins, state
