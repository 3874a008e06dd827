"""No scene visit, body not received here: facts with a reason, in place of a gap."""

from __future__ import annotations

import pytest
from django.urls import reverse

from cases import actions
from cases.models import NotDone
from cases.queries.waiting import incomplete_cases_of
from cases.review.content import report_content
from cases.rules.case import CaseState
from me_office.accounts.roles import Role
from me_office.audit.errors import Conflict, NotAllowed, NotKnown, Refused
from me_office.audit.ids import new_id
from tests.builders import make_case, make_staff, set_back
from tests.cases.entries import received, seen_at_scene

pytestmark = pytest.mark.django_db
KINDS = ["scene", "body"]


def state(case, kind, by=None, reason="Died in the hospital.", key=None):
    return actions.state_not_done(
        by or make_staff(Role.INVESTIGATOR),
        case_id=case.pk,
        record_id=key or new_id(),
        kind=kind,
        reason=reason,
    )


def record(case, kind):
    if kind == "scene":
        quill = make_staff(Role.INVESTIGATOR)
        return actions.record_scene(quill, case_id=case.pk, version=0, entry=seen_at_scene())
    renn = make_staff(Role.EVIDENCE_TECHNICIAN)
    return actions.receive_body(renn, case_id=case.pk, version=0, entry=received())


@pytest.mark.parametrize("kind", KINDS)
def test_what_is_stated_not_done_is_not_recorded_beside_it(kind):
    case = make_case()
    stated = state(case, kind)
    with pytest.raises(Refused, match="Withdraw that first"):
        record(case, kind)
    supervisor = make_staff(Role.SUPERVISOR)
    actions.void_not_done(supervisor, record_id=stated.pk, version=1, reason="She was there.")
    record(case, kind)
    with pytest.raises(Refused, match=r"is (recorded|received)"):
        state(case, kind)


@pytest.mark.parametrize("kind", KINDS)
def test_a_statement_is_made_once_with_its_reason_by_who_may_record(kind):
    case, key = make_case(), new_id()
    with pytest.raises(Refused, match="Say why"):
        state(case, kind, reason="  ")
    with pytest.raises(NotAllowed):
        state(case, kind, by=make_staff(Role.RECORDS_CLERK))
    first = state(case, kind, key=key)
    assert state(case, kind, key=key) == first
    with pytest.raises(Conflict):
        state(case, kind, key=key, reason="Something else.")
    assert NotDone.objects.count() == 1
    with pytest.raises(NotKnown):
        state(case, "autopsy")


def test_a_case_with_both_facts_lacks_neither():
    quill = make_staff(Role.INVESTIGATOR)
    case = make_case(investigator=quill, family_name="", given_names="")
    assert [one.pk for one in incomplete_cases_of(quill)] == [case.pk]
    state(case, "scene")
    assert [one.has_scene for one in incomplete_cases_of(quill)] == [True]
    state(case, "body")
    assert incomplete_cases_of(quill) == []


@pytest.mark.parametrize(
    ("kind", "page", "words", "course"),
    [
        ("scene", "cases:scene", "No scene visit.", "no scene visit"),
        ("body", "cases:body", "Not received here.", "did not come here"),
    ],
)
def test_the_course_and_the_page_say_the_fact(client, kind, page, words, course):
    case = make_case()
    client.force_login(make_staff(Role.SUPERVISOR))
    form = reverse("cases:not-done", kwargs={"case_id": case.pk, "kind": kind})
    keys = {"record_id": str(new_id()), "version": "0", "request_key": str(new_id())}
    assert client.post(form, keys | {"reason": ""}).status_code == 422
    assert client.post(form, keys | {"reason": "Died in the hospital."}).status_code == 302
    shown = client.get(reverse(page, kwargs={"case_id": case.pk}))
    text = shown.content.decode()
    assert words in text and "Died in the hospital." in text
    steps = {step.key: step.words for step in shown.context["frame"].steps}
    assert steps[kind] == course
    overview = client.get(reverse("cases:case", kwargs={"case_id": case.pk}))
    assert kind not in {step.key for step in overview.context["open_steps"]}
    keys = keys | {"version": "1", "request_key": str(new_id()), "reason": "She was there."}
    assert "will be withdrawn" in client.get(form).content.decode()
    assert client.post(form, keys).status_code == 302
    assert not NotDone.objects.active().exists()
    other = reverse("cases:not-done", kwargs={"case_id": case.pk, "kind": "organs"})
    assert client.get(other).status_code == 404


def test_a_declined_death_leaves_nothing_open(client):
    client.force_login(make_staff(Role.INVESTIGATOR))
    for state, is_left in (("reported", True), ("declined", False), ("open", True)):
        address = reverse("cases:case", kwargs={"case_id": make_case(state=state).pk})
        assert ("Still open" in client.get(address).content.decode()) is is_left


def test_the_api_states_lists_and_withdraws(client):
    case, kind = make_case(), {"content_type": "application/json"}
    client.force_login(make_staff(Role.INVESTIGATOR))
    many = reverse("cases_api:not-done", kwargs={"case_id": case.pk})
    sent = {"id": str(new_id()), "kind": "scene", "reason": "Moved before the call."}
    assert client.post(many, sent, **kind).status_code == 201
    assert client.post(many, sent | {"kind": "organs"}, **kind).status_code == 422
    assert [row["why"] for row in client.get(many).json()] == ["Moved before the call."]
    one = {"case_id": case.pk, "record_id": sent["id"]}
    gone = client.post(
        reverse("cases_api:void-not-done", kwargs=one), {"version": 1, "reason": "x"}, **kind
    )
    assert gone.json()["voided_at"] and client.get(many).json() == []


def test_the_report_prints_what_was_not_done():
    case = make_case()
    assert not {"Scene", "Body"} & {one["label"] for one in report_content(case.pk)["facts"]}
    state(case, "scene")
    state(case, "body", reason="Cremated before the call.")
    facts = {one["label"]: one["text"] for one in report_content(case.pk)["facts"]}
    assert facts["Scene"] == "no scene visit: Died in the hospital."
    assert facts["Body"] == "not received here: Cremated before the call."


@pytest.mark.parametrize(("stated", "other"), [KINDS, KINDS[::-1]])
def test_a_statement_is_of_one_thing_in_an_open_case_and_gives_way_to_no_withdrawn_record(
    stated, other
):
    case = make_case()
    state(case, stated)
    made = record(case, other)
    with pytest.raises(Refused):
        state(case, other)
    set_back(type(made).objects.filter(pk=made.pk), voided_at=made.created_at)
    assert state(case, other).kind == other
    for signed in (CaseState.SIGNED, CaseState.DECLINED):
        with pytest.raises(NotAllowed):
            state(make_case(state=signed), stated)
