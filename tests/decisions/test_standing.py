"""What follows from decisions as they were read: who decided, what is approved, what goes out."""

from __future__ import annotations

from uuid import UUID

import pytest

from cases.court.models import Demand, RecordsRequest
from cases.decisions.models import Approval, Ground, ItemDecision, StopSettled
from cases.decisions.proposal_rules import Proposal
from cases.decisions.queries import Row, Standing
from cases.decisions.ready import items_as_decided, log_of
from cases.decisions.rules import Item, ItemKind, Outcome
from cases.models import Case

CASE = UUID(int=1)
CLERK, SETTLER, REACHER, OTHER = (UUID(int=n) for n in range(21, 25))
GROUND = Ground(number=4, words="Health of a person", citation="County Code 27")


def item(number, **more):
    said = {"number": f"P {number}", "digest": f"d{number}", "copy_digest": "c", **more}
    return Item(ItemKind.PHOTOGRAPH, CASE, f"k{number}", "The other driver", **said)


def row(demand, of, outcome, by=CLERK):
    kept_back = outcome in {"withhold", "redact"}
    decision = ItemDecision(
        pk=UUID(int=100 * demand + int(of.key[1:])), kind=of.kind.value, item=of.key,
        digest=of.digest, outcome=outcome, ground=GROUND if kept_back else None, created_by_id=by,
    )  # fmt: skip
    return Row(demand, of, Proposal(None, ""), decision)


def standing(*by_demand, **more):
    demands = [Demand(pk=UUID(int=10 + n), number=n) for n in range(1, len(by_demand) + 1)]
    rows = {demand.pk: list(rows) for demand, rows in zip(demands, by_demand, strict=True)}
    said = {"stops": (), "looks": (), "approval": None, **more}
    return Standing(
        asked=RecordsRequest(pk=UUID(int=5), state="open"), cases=[Case(pk=CASE)],
        demands=demands, reaches=(), rows=rows, **said,
    )  # fmt: skip


def test_who_decided_reached_or_settled_any_of_it_is_not_the_second_person():
    now = standing(
        [row(1, item(1), "release")],
        settled=[StopSettled(created_by_id=SETTLER)],
        reached_by=frozenset({REACHER}),
    )
    assert now.deciders == {CLERK, SETTLER, REACHER}
    assert OTHER not in now.deciders


@pytest.mark.parametrize(
    "later",
    [
        [row(1, item(1), "release"), row(1, item(2), "release")],
        [row(1, item(1), "withhold")],
        [row(1, item(1, copy_digest="e"), "redact")],
        [],
    ],
)
def test_an_approval_is_of_exactly_what_stood(later):
    then = standing([row(1, item(1), "redact")])
    approval = Approval(digest=then.digest)
    assert standing([row(1, item(1), "redact")], approval=approval).is_approved
    assert not standing(later, approval=approval).is_approved
    assert not standing([row(1, item(1), "redact")]).is_approved


def test_what_one_demand_sends_and_another_notes_as_sent_goes_out_once():
    for outcomes in (("sent", "release"), ("release", "sent")):
        [ready] = items_as_decided(
            standing(*([row(n, item(1), one)] for n, one in enumerate(outcomes, 1)))
        )
        assert (ready.outcome, ready.demands, ready.goes_out) == (Outcome.RELEASE, (1, 2), True)
    [only] = items_as_decided(standing([row(1, item(1), "sent")]))
    assert not only.goes_out


def test_a_copy_goes_only_where_it_was_decided_that_one_goes():
    ready = items_as_decided(
        standing([row(1, item(1), "release"), row(1, item(2), "redact"),
                  row(1, item(3), "withhold")])
    )  # fmt: skip
    assert [one.copy_digest for one in ready] == ["", "c", ""]
    assert [one.goes_out for one in ready] == [True, True, False]


def test_the_log_names_what_is_withheld_and_what_is_sent_in_part():
    found = log_of(
        standing([row(1, item(1), "release"), row(1, item(2), "redact"),
                  row(1, item(3), "withhold"), row(1, item(4), "missing")])
    )  # fmt: skip
    assert [(one.item, one.treatment) for one in found] == [
        ("P 2", "sent in part, redacted"), ("P 3", "withheld"),
    ]  # fmt: skip
    assert {one.ground for one in found} == {"Health of a person"}
    assert "driver" not in str(found)
