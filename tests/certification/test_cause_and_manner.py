"""Cause and manner: who states it, what is looked at again, what a change needs."""

from __future__ import annotations

import json

import pytest
from django.test import Client
from django.urls import reverse

from cases.certification.actions import state_cause_and_manner
from cases.certification.models import Certification
from cases.certification.rules import Manner, cautions_on, lowest_cause, needs_reason
from me_office.accounts.roles import Role
from me_office.audit.errors import Invalid, NotAllowed, Refused, StaleRecord
from me_office.audit.ids import new_id
from me_office.audit.models import AuditEvent
from tests.builders import make_case, make_staff

ENTRY = {
    "cause_a": "Drowning",
    "interval_a": "minutes",
    "manner": "accident",
    "injury_how": "Slipped from the weir",
}

# The manners of item 37 of the US Standard Certificate of Death, 2003 revision, as HL7's Vital
# Records Death Reporting guide lists them with their SNOMED CT codes.
ITEM_37 = {
    "natural": "38605008",
    "accident": "7878000",
    "suicide": "44301001",
    "homicide": "27935005",
    "pending investigation": "185973002",
    "could not be determined": "65037004",
}


def state(by, case, *, version=0, record_id=None, reason="", **entry):
    return state_cause_and_manner(
        by,
        case_id=case.pk,
        record_id=record_id or new_id(),
        version=version,
        entry={**ENTRY, **entry},
        reason=reason,
    )


def test_the_manners_are_those_of_the_standard_certificate():
    ours = {"pending": "pending investigation", "undetermined": "could not be determined"}
    assert {ours.get(manner, manner.value) for manner in Manner} == set(ITEM_37)


def test_the_underlying_cause_is_the_lowest_line():
    assert lowest_cause({"cause_a": "Hemothorax", "cause_b": "Rib fractures"}) == "Rib fractures"
    assert lowest_cause({}) == ""


# Source of both rules: the NCHS handbooks on completing the certificate, from memory.
def test_a_mechanism_alone_is_pointed_out():
    assert any("mechanism" in words for words in cautions_on({"cause_a": "Cardiac arrest."}))
    assert cautions_on({"cause_a": "Cardiac arrest", "cause_b": "Drowning"}) == []


def test_how_the_injury_occurred_is_asked_when_the_manner_is_not_natural():
    asked = "Items 38 to 43"
    for manner in ("accident", "suicide", "homicide"):
        assert any(asked in words for words in cautions_on({"cause_a": "x", "manner": manner}))
    assert cautions_on({"cause_a": "x", "manner": "natural"}) == []


@pytest.mark.parametrize(
    ("was", "becomes", "needed"),
    [
        ("pending", "accident", False),
        ("", "accident", False),
        ("accident", "accident", False),
        ("accident", "homicide", True),
        ("accident", "pending", True),
    ],
)
def test_changing_a_stated_manner_needs_a_reason(was, becomes, needed):
    assert needs_reason(was, becomes) is needed


@pytest.mark.django_db
def test_a_pathologist_states_it_and_the_trail_says_so():
    vasko, case = make_staff(Role.PATHOLOGIST, name="I. Vasko"), make_case()
    made = state(vasko, case)
    event = AuditEvent.objects.get(table="certification_certification")
    assert (event.actor_name, event.act) == ("I. Vasko", "state_cause_and_manner")
    assert event.record_id == str(made.pk)
    assert event.changes["manner"] == [None, "accident"]


@pytest.mark.django_db
def test_a_change_of_manner_without_reason_is_refused_and_with_reason_kept():
    vasko, case = make_staff(Role.PATHOLOGIST), make_case()
    state(vasko, case)
    with pytest.raises(Refused) as refusal:
        state(vasko, case, version=1, manner="homicide")
    assert refusal.value.field == "reason"
    state(vasko, case, version=1, manner="homicide", reason="witness of 16 November")
    event = AuditEvent.objects.filter(table="certification_certification").last()
    assert event.changes["manner"] == ["accident", "homicide"]
    assert event.reason == "witness of 16 November"


@pytest.mark.django_db
@pytest.mark.parametrize("role", sorted(set(Role) - {Role.PATHOLOGIST, Role.ADMINISTRATOR}))
def test_nobody_else_states_it(role):
    with pytest.raises(NotAllowed):
        state(make_staff(role), make_case())


@pytest.mark.django_db
@pytest.mark.parametrize("case_state", ["reported", "declined", "in review", "signed"])
def test_it_is_stated_while_the_case_is_open_only(case_state):
    with pytest.raises(NotAllowed):
        state(make_staff(Role.PATHOLOGIST), make_case(state=case_state))


@pytest.mark.django_db
def test_two_who_begin_at_once_see_each_other():
    vasko, amadi, case = make_staff(Role.PATHOLOGIST), make_staff(Role.PATHOLOGIST), make_case()
    state(vasko, case)
    with pytest.raises(StaleRecord):
        state(amadi, case)


@pytest.mark.django_db
def test_the_same_statement_twice_is_one():
    vasko, case, key = make_staff(Role.PATHOLOGIST), make_case(), new_id()
    assert state(vasko, case, record_id=key).pk == state(vasko, case, record_id=key).pk
    assert Certification.objects.get().version == 1


@pytest.mark.django_db
def test_a_gap_in_the_chain_and_a_manner_without_cause_are_refused():
    vasko, case = make_staff(Role.PATHOLOGIST), make_case()
    with pytest.raises(Invalid, match="without a gap"):
        state(vasko, case, cause_c="Fall")
    with pytest.raises(Invalid, match="leave the manner pending"):
        state(vasko, case, cause_a="", manner="natural")


def as_person(person):
    client = Client()
    client.force_login(person, backend="allauth.account.auth_backends.AuthenticationBackend")
    return client


@pytest.mark.django_db
def test_bad_input_keeps_the_rest_and_says_what_is_wrong():
    vasko, case = make_staff(Role.PATHOLOGIST), make_case()
    address = reverse("certification:cause-and-manner", kwargs={"case_id": case.pk})
    answer = as_person(vasko).post(address, {**ENTRY, "cause_d": "A fall from the roof"})
    page = answer.content.decode()
    assert answer.status_code == 422
    assert "Fill the lines from the top, without a gap." in page
    assert "A fall from the roof" in page
    assert "Slipped from the weir" in page


@pytest.mark.django_db
def test_the_pathologist_finds_the_form_before_anything_is_stated():
    address = reverse("certification:cause-and-manner", kwargs={"case_id": make_case().pk})
    page = as_person(make_staff(Role.PATHOLOGIST)).get(address).content.decode()
    assert "Immediate cause" in page
    assert "Reason for the change" not in page


@pytest.mark.django_db
def test_a_reader_sees_the_opinion_and_no_form():
    vasko, case = make_staff(Role.PATHOLOGIST), make_case()
    state(vasko, case)
    address = reverse("certification:cause-and-manner", kwargs={"case_id": case.pk})
    page = as_person(make_staff(Role.RECORDS_CLERK)).get(address).content.decode()
    assert "Drowning" in page
    assert "<textarea" not in page


@pytest.mark.django_db
def test_the_api_gives_what_stands_when_stale():
    vasko, case = make_staff(Role.PATHOLOGIST), make_case()
    made = state(vasko, case)
    state(vasko, case, version=1, cause_a="Drowning in fresh water")
    answer = as_person(vasko).put(
        f"/api/cases/{case.pk}/cause-and-manner/",
        json.dumps({"id": str(made.pk), "version": 1, **ENTRY}),
        content_type="application/json",
    )
    assert answer.status_code == 409
    assert answer.json()["standing"]["cause_a"] == "Drowning in fresh water"
