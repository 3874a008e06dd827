"""Who may do what in which state, written out by hand and compared with the one decision.

A letter stands for a state: R reported, D declined, O open, V in review, S signed,
C closed without a report. A role that is
not named may never. Nothing here is computed from the access table itself.
"""

from __future__ import annotations

import itertools

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from cases.access import Act, cases_open_to, decide, decision_on, may, require
from cases.course import case_frame
from cases.models import Case
from cases.rules.case import CaseState
from me_office.accounts.roles import Role
from me_office.audit.errors import NotKnown
from tests.builders import make_case, make_staff

STATE = {
    "R": CaseState.REPORTED,
    "D": CaseState.DECLINED,
    "O": CaseState.OPEN,
    "V": CaseState.IN_REVIEW,
    "S": CaseState.SIGNED,
    "C": CaseState.CLOSED,
}
INVESTIGATOR, PATHOLOGIST, SUPERVISOR = "investigator", "pathologist", "supervisor"
CLERK, TECHNICIAN, ADMINISTRATOR = "records clerk", "evidence technician", "administrator"

EXPECTED: dict[str, dict[str, str]] = {
    "see this case": {
        INVESTIGATOR: "RDOVSC",
        PATHOLOGIST: "RDOVSC",
        SUPERVISOR: "RDOVSC",
        CLERK: "RDOVSC",
        TECHNICIAN: "RDOVSC",
    },
    "log or change a report of death": {INVESTIGATOR: "RDO", SUPERVISOR: "RDO"},
    "decide jurisdiction": {INVESTIGATOR: "RD", SUPERVISOR: "RD"},
    "record the scene": {INVESTIGATOR: "RO", SUPERVISOR: "RO"},
    "record the body's receipt": {INVESTIGATOR: "O", TECHNICIAN: "O", SUPERVISOR: "O"},
    "record the body's release or return": {
        INVESTIGATOR: "OVSC",
        TECHNICIAN: "OVSC",
        SUPERVISOR: "OVSC",
    },
    "place or lift a hold on the body": {
        INVESTIGATOR: "OVSC",
        PATHOLOGIST: "OVSC",
        SUPERVISOR: "OVSC",
    },
    "log a request for cremation approval": {
        INVESTIGATOR: "DOVSC",
        SUPERVISOR: "DOVSC",
        CLERK: "DOVSC",
    },
    "approve or refuse a cremation": {PATHOLOGIST: "DOVSC", SUPERVISOR: "DOVSC"},
    "record the final disposition": {
        INVESTIGATOR: "DOVSC",
        TECHNICIAN: "DOVSC",
        SUPERVISOR: "DOVSC",
        CLERK: "DOVSC",
    },
    "record an identification": {INVESTIGATOR: "RO", PATHOLOGIST: "RO", SUPERVISOR: "RO"},
    "assign the case": {SUPERVISOR: "ROV"},
    "restrict the case or change its team": {SUPERVISOR: "RDOVSC"},
    "record the examination and its findings": {PATHOLOGIST: "O"},
    "keep a calculation": {INVESTIGATOR: "RO", PATHOLOGIST: "RO", SUPERVISOR: "RO"},
    "add or describe photographs": {INVESTIGATOR: "RO", PATHOLOGIST: "RO", TECHNICIAN: "RO"},
    "take or describe specimens": {PATHOLOGIST: "O", TECHNICIAN: "O"},
    "record evidence and personal effects": {
        INVESTIGATOR: "RO",
        PATHOLOGIST: "RO",
        TECHNICIAN: "RO",
    },
    "record seals and custody transfers": {
        INVESTIGATOR: "ROVSC",
        PATHOLOGIST: "ROVSC",
        SUPERVISOR: "ROVSC",
        CLERK: "ROVSC",
        TECHNICIAN: "ROVSC",
    },
    "record results of laboratories and consultants": {
        INVESTIGATOR: "ROVSC",
        PATHOLOGIST: "ROVSC",
        SUPERVISOR: "ROVSC",
        CLERK: "ROVSC",
        TECHNICIAN: "ROVSC",
    },
    "state cause and manner": {PATHOLOGIST: "O"},
    "answer what the checks ask or set it aside": {
        INVESTIGATOR: "O",
        PATHOLOGIST: "O",
        SUPERVISOR: "O",
    },
    "change what the office checks": {SUPERVISOR: "O"},
    "keep the other items of the certificate and what it waits for": {
        INVESTIGATOR: "OVSC",
        PATHOLOGIST: "OVSC",
        SUPERVISOR: "OVSC",
        CLERK: "OVSC",
    },
    "state the certificate to the registrar": {PATHOLOGIST: "OVS"},
    "write the report or send it to review": {PATHOLOGIST: "O"},
    "comment on the draft or send it back": {PATHOLOGIST: "V", SUPERVISOR: "V"},
    "reply to a comment of the review or settle it": {PATHOLOGIST: "OV", SUPERVISOR: "OV"},
    "change the rules of review": {SUPERVISOR: "O"},
    "keep the rules of counting and the closures of courts": {SUPERVISOR: "O", CLERK: "O"},
    "sign the peer review": {PATHOLOGIST: "V"},
    "record a review made outside the office": {PATHOLOGIST: "V", SUPERVISOR: "V", CLERK: "V"},
    "close the case without a report or open it again": {SUPERVISOR: "OC"},
    "add an addendum or amendment": {PATHOLOGIST: "S", SUPERVISOR: "S"},
    "sign an addendum as second pathologist": {PATHOLOGIST: "S"},
    "record next of kin and their notification": {
        INVESTIGATOR: "RDOVSC",
        PATHOLOGIST: "RDOVSC",
        SUPERVISOR: "RDOVSC",
    },
    "keep a mark made in court": {
        INVESTIGATOR: "OVS",
        PATHOLOGIST: "OVS",
        SUPERVISOR: "OVS",
        CLERK: "OVS",
    },
    "log or answer requests and subpoenas": {CLERK: "RDOVSC", SUPERVISOR: "RDOVSC"},
    "keep dates in court": {
        INVESTIGATOR: "RDOVSC",
        PATHOLOGIST: "RDOVSC",
        SUPERVISOR: "RDOVSC",
        CLERK: "RDOVSC",
        TECHNICIAN: "RDOVSC",
    },
    "see what waits for whom and what the office is measured by": {
        PATHOLOGIST: "O",
        SUPERVISOR: "O",
    },
    "build a release packet": {CLERK: "S", SUPERVISOR: "S"},
    "decide what may go out": {CLERK: "RDOVSC", SUPERVISOR: "RDOVSC"},
    "approve what goes out as the second person": {
        CLERK: "RDOVSC",
        PATHOLOGIST: "RDOVSC",
        SUPERVISOR: "RDOVSC",
    },
    "keep the office's rules of counting, grounds, fees and letters": {
        CLERK: "O",
        SUPERVISOR: "O",
    },
    "record a release": {CLERK: "RDOVSC", SUPERVISOR: "RDOVSC"},
    "build and deliver the answer to a request": {CLERK: "RDOVSC", SUPERVISOR: "RDOVSC"},
    "redact documents that may go out": {
        PATHOLOGIST: "RDOVSC",
        SUPERVISOR: "RDOVSC",
        CLERK: "RDOVSC",
    },
    "prepare exhibits and redactions": {PATHOLOGIST: "OVS", SUPERVISOR: "OVS", CLERK: "OVS"},
    "change the standing explanations": {PATHOLOGIST: "O", SUPERVISOR: "O"},
    "keep the short keys and the word list of the office": {PATHOLOGIST: "O", SUPERVISOR: "O"},
    "see what an exhibit answers": {PATHOLOGIST: "OVS", SUPERVISOR: "OVS"},
    "rehearse testimony": {PATHOLOGIST: "OVS", SUPERVISOR: "OVS"},
    "keep earlier statements and link their passages": {
        PATHOLOGIST: "OVS",
        SUPERVISOR: "OVS",
        CLERK: "OVS",
    },
}


def test_every_act_is_in_the_expected_table_and_none_besides():
    assert set(EXPECTED) == {act.value for act in Act}


def test_every_role_and_state_is_walked():
    assert {role.value for role in Role} == {
        INVESTIGATOR, PATHOLOGIST, SUPERVISOR, CLERK, TECHNICIAN, ADMINISTRATOR
    }  # fmt: skip
    assert set(STATE.values()) == set(CaseState)


@pytest.mark.parametrize("act", list(Act))
def test_role_by_act_by_state(act):
    for role, letter in itertools.product(Role, STATE):
        expected = letter in EXPECTED[act.value].get(role.value, "")
        found = decide(frozenset({role}), act, STATE[letter], restricted=False, on_team=False)
        assert found.allowed == expected, (role, act, STATE[letter])
        assert found.allowed or found.why, "a refusal says why"


@pytest.mark.parametrize("act", list(Act))
def test_a_restricted_case_is_as_open_to_its_team_as_any_other(act):
    for role, letter in itertools.product(Role, STATE):
        expected = letter in EXPECTED[act.value].get(role.value, "")
        found = decide(frozenset({role}), act, STATE[letter], restricted=True, on_team=True)
        assert found.allowed == expected, (role, act, STATE[letter])


@pytest.mark.parametrize("act", list(Act))
def test_a_restricted_case_is_not_known_to_anybody_else(act):
    for role, letter in itertools.product(Role, STATE):
        found = decide(frozenset({role}), act, STATE[letter], restricted=True, on_team=False)
        assert not found.allowed
        assert not found.known, "they may not even learn that it is there"


@pytest.mark.parametrize("act", list(Act))
def test_an_administrator_or_nobody_knows_no_case(act):
    for roles in (frozenset(), frozenset({Role.ADMINISTRATOR})):
        found = decide(roles, act, CaseState.OPEN, restricted=False, on_team=False)
        assert (found.allowed, found.known) == (False, False)


@pytest.mark.parametrize("act", list(Act))
def test_two_roles_may_what_either_may(act):
    for one, other in itertools.combinations(Role, 2):
        for letter in STATE:
            expected = any(
                letter in EXPECTED[act.value].get(role.value, "") for role in (one, other)
            )
            found = decide(
                frozenset({one, other}), act, STATE[letter], restricted=False, on_team=False
            )
            assert found.allowed == expected, (one, other, act, letter)


def test_a_signed_case_names_the_way_that_is_left():
    found = decide(
        frozenset({Role.PATHOLOGIST}), Act.EXAMINE, CaseState.SIGNED,
        restricted=False, on_team=False,
    )  # fmt: skip
    assert "addendum or amendment" in found.why


@pytest.mark.django_db
def test_the_decision_on_people_and_cases_is_the_same():
    cases = {letter: make_case(state=state) for letter, state in STATE.items()}
    people = {role: make_staff(role) for role in Role}
    for act, role, letter in itertools.product(Act, Role, STATE):
        expected = letter in EXPECTED[act.value].get(role.value, "")
        assert decision_on(people[role], act, cases[letter]).allowed == expected


@pytest.mark.django_db
def test_lists_hold_open_cases_and_those_of_ones_own_team():
    from guardian.shortcuts import assign_perm

    plain, secret = make_case(), make_case(restricted=True)
    on_team, outside = make_staff("records clerk"), make_staff("records clerk")
    assign_perm("cases.work_on_case", on_team, secret)
    assert set(cases_open_to(on_team)) == {plain, secret}
    assert set(cases_open_to(outside)) == {plain}
    assert not cases_open_to(make_staff("administrator")).exists()


@pytest.mark.django_db
def test_what_was_noted_for_a_page_holds_for_that_person_and_that_reading_only():
    from guardian.shortcuts import assign_perm, remove_perm

    secret, other = make_case(restricted=True), make_case(restricted=True)
    member, outside = make_staff("records clerk"), make_staff("records clerk")
    assign_perm("cases.work_on_case", member, secret)
    shown = case_frame(member, secret.pk, current="overview").case
    with CaptureQueriesContext(connection) as asked:
        assert may(member, Act.SEE, shown)
    assert len(asked) == 0
    assert not may(outside, Act.SEE, shown)
    remove_perm("cases.work_on_case", member, secret)
    for case in (Case.objects.get(pk=secret.pk), other):
        with pytest.raises(NotKnown):
            require(member, Act.SEE, case)


@pytest.mark.django_db
def test_a_page_of_a_restricted_case_is_not_read_for_a_stranger():
    secret = make_case(restricted=True)
    with pytest.raises(NotKnown):
        case_frame(make_staff("records clerk"), secret.pk, current="overview")


@pytest.mark.django_db
def test_on_a_team_is_who_has_that_permission_and_an_open_account():
    from django.contrib.auth.models import Permission
    from django.contrib.contenttypes.models import ContentType
    from guardian.shortcuts import assign_perm

    secret, kind = make_case(restricted=True), ContentType.objects.get_for_model(Case)
    other = Permission.objects.create(codename="other", name="Other", content_type=kind)
    member, stranger, gone = (make_staff("records clerk") for _ in range(3))
    for person, permission in (
        (member, "work_on_case"), (stranger, other.codename), (gone, "work_on_case"),
    ):  # fmt: skip
        assign_perm(f"cases.{permission}", person, secret)
    gone.is_active = False
    gone.save()
    assert [may(one, Act.SEE, secret) for one in (member, stranger, gone)] == [True, False, False]
    assert list(cases_open_to(member)) == [secret]
    assert list(cases_open_to(stranger)) == []


@pytest.mark.django_db
def test_ones_own_teams_are_read_once_for_a_statement():
    """A subquery would be charged to every row, and all cases of a large office be read."""
    plan = cases_open_to(make_staff("records clerk")).filter(number="2026-0001").explain()
    assert "InitPlan" in plan and "SubPlan" not in plan
