"""Two people at the same time decide and approve the same request."""

from __future__ import annotations

import pytest

from cases.decisions import actions, queries
from cases.decisions.models import Approval, ItemDecision
from me_office.accounts.roles import Role
from me_office.audit.errors import Conflict
from me_office.audit.ids import new_id
from tests.builders import make_case, make_staff
from tests.decisions.builders import decide, demand_in, picked, reaching, request_for, second_person
from tests.packets.builders import make_clerk

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture
def demand():
    clerk = make_clerk()
    made = demand_in(request_for(make_case(), clerk), clerk)
    reaching(made, clerk, "history")
    return made


def test_an_item_is_decided_once(demand, at_once):
    two = [make_clerk(name="A"), make_staff(Role.SUPERVISOR, name="B")]
    seen = picked(demand)
    ended = at_once(
        actions.decide_items, by=two, case_id=demand.case_id, request_id=demand.request_id,
        demand_id=demand.pk,
        each=[
            {"record_id": new_id(), "entry": {"items": seen, "outcome": outcome}}
            for outcome in ("release", "missing")
        ],
    )  # fmt: skip
    assert sorted(one.code for one in ended) == ["conflict", "done"]
    assert ItemDecision.objects.count() == 1


def test_what_is_approved_is_what_stands(demand, at_once):
    decide(demand, make_clerk(name="A"), "release")
    digest = queries.standing_of(demand.request).digest
    at = {"case_id": demand.case_id, "request_id": demand.request_id}
    other = {"items": picked(demand), "outcome": "missing"}
    ended = at_once(
        lambda actor, act, **sent: act(actor, **sent),
        by=[make_clerk(name="B"), second_person()],
        each=[
            {"act": actions.decide_items, "record_id": new_id(), "demand_id": demand.pk,
             "entry": other, "reason": "It is not there", **at},
            {"act": actions.approve_release, "record_id": new_id(), "digest": digest, "entry": {},
             **at},
        ],
    )  # fmt: skip
    assert ended[0].code == "done"
    assert not queries.standing_of(demand.request).is_approved
    assert not Approval.objects.active().exists()


def test_an_approval_sent_again_with_another_note_is_a_conflict(demand):
    decide(demand, make_clerk(name="A"), "release")
    sent = {
        "case_id": demand.case_id, "request_id": demand.request_id, "record_id": new_id(),
        "digest": queries.standing_of(demand.request).digest,
    }  # fmt: skip
    boss = second_person()
    made = actions.approve_release(boss, **sent, entry={"note": "As read."})
    assert actions.approve_release(boss, **sent, entry={"note": "As read."}) == made
    with pytest.raises(Conflict):
        actions.approve_release(boss, **sent, entry={"note": "Another."})
