"""What stands otherwise than in a built answer, of decisions as they were read: no database."""

from __future__ import annotations

from dataclasses import replace
from uuid import UUID

import pytest

from cases.answers import since
from cases.answers.models import Answer
from cases.answers.since import differs_of
from cases.court.models import Demand, RecordsRequest
from cases.decisions.models import ItemDecision
from cases.decisions.proposal_rules import Proposal
from cases.decisions.queries import Row, Standing
from cases.decisions.rules import Item, ItemKind, StopFound, StopKind
from cases.models import Case

CASE = UUID(int=1)
ITEM = Item(ItemKind.PHOTOGRAPH, CASE, "k1", "Road", number="P 1", digest="d1", copy_digest="c1")


@pytest.fixture(autouse=True)
def _of_no_other_room(monkeypatch):
    monkeypatch.setattr(since, "_READERS", {})


def standing(*outcomes, stops=(), state="open"):
    """A request with a demand for each outcome, all of which reach one photograph."""
    demands = [Demand(pk=UUID(int=10 + n), number=n) for n in range(1, len(outcomes) + 1)]
    rows = {
        demand.pk: [
            Row(demand.number, ITEM, Proposal(None, ""), ItemDecision(outcome=outcome, digest="d1"))
        ]
        for demand, outcome in zip(demands, outcomes, strict=True)
    }
    return Standing(
        asked=RecordsRequest(pk=UUID(int=5), state=state), cases=[Case(pk=CASE)], demands=demands,
        reaches=(), rows=rows, stops=stops, looks=(), approval=None,
    )  # fmt: skip


def differs(now, *held):
    """What differs from an answer that sent the photograph; that nobody approves is left out."""
    sent = list(held) or ["photograph", "k1", str(CASE), "P 1", "release", "d1", ""]
    answer = Answer(pk=UUID(int=7), sent_items=[sent], decided="a")
    return [(one.words, one.firm) for one in differs_of([answer], now)[answer]
            if "no longer approved" not in one.words]  # fmt: skip


@pytest.mark.parametrize(
    ("outcomes", "words"),
    [
        (("release", "withhold"), "P 1 is withheld now."),
        (("withhold", "release"), "P 1 is withheld now."),
        (("redact", "withhold"), "P 1 is withheld now."),
        (("release", "redact"), "P 1 goes out redacted now, and whole in it."),
        (("release", "not ours"), "P 1 is not to be sent now."),
        (("sent", "withhold"), "P 1 is withheld now."),
    ],
)
def test_of_what_several_demands_reach_the_strictest_decision_counts(outcomes, words):
    assert differs(standing(*outcomes)) == [(words, True)]
    assert differs(standing("release", "sent")) == []


def test_what_one_of_several_demands_shows_to_be_changed_or_marked_is_told():
    now = standing("release", "release")
    [[first], [last]] = now.rows.values()
    key = list(now.rows)[1]
    now.rows[key] = [replace(last, is_changed=True)]
    assert differs(now) == [("P 1 has changed since.", False)]
    marked = replace(ITEM, marked="m")
    now.rows[key] = [replace(last, item=marked)]
    assert now.rows[key][0].is_marked_anew and not first.is_marked_anew
    assert differs(now) == [("P 1 is marked for redaction now, and whole in it.", True)]


def test_a_stop_that_is_settled_keeps_nothing_back_and_any_other_does():
    open_one = StopFound("s", StopKind.SEALED, "2026-0002", case_id=CASE)
    settled = StopFound("t", StopKind.JUVENILE, "2026-0002", settled="By order", case_id=CASE)
    elsewhere = StopFound("u", StopKind.SEALED, "2026-0003", case_id=UUID(int=2))
    assert differs(standing("release", stops=[settled, elsewhere])) == []
    found = differs(standing("release", stops=[settled, open_one]))
    assert found == [("2026-0002: sealed by a court.", True)]
    # What the case is not known to hold is not taken for settled.
    assert differs(standing("release", state="withdrawn")) == [("The request was withdrawn.", True)]


def test_another_copy_is_another_thing_and_only_of_what_goes_out_redacted():
    redacted = ["photograph", "k1", str(CASE), "P 1", "redact", "d1", "c0"]
    words = "P 1 has another redacted copy now, or none."
    assert differs(standing("redact"), *redacted) == [(words, True)]
    assert differs(standing("redact"), *redacted[:-1], "c1") == []
    whole = "P 1 goes out whole now, and redacted in it."
    assert differs(standing("release"), *redacted) == [(whole, False)]


def test_what_another_room_knows_is_told_too(monkeypatch):
    monkeypatch.setattr(
        since, "_READERS", {"orders": lambda asked, answers: {
            one: [since.Differs("An order ended.")] for one in answers
        }},
    )  # fmt: skip
    assert differs(standing("release")) == [("An order ended.", False)]
