"""What is asked before a document in which places are marked goes out whole: by rules alone."""

from __future__ import annotations

from uuid import UUID

import pytest

from cases.decisions import items, rules
from cases.decisions.proposal_rules import proposal_for
from cases.decisions.rules import Item, ItemKind, Mark, Outcome, Redacted

PAPER = Item(ItemKind.DOCUMENT, UUID(int=1), "k", "Letter", number="Document 1")


@pytest.mark.parametrize(
    ("outcome", "decided", "now", "anew"),
    [
        ("release", "", "", False), ("release", "", "m", True), ("release", "m", "m", False),
        ("release", "m", "n", True), ("release", "m", "", False), ("redact", "", "m", False),
        ("withhold", "", "m", False),
    ],
)  # fmt: skip
def test_marks_that_were_not_there_when_it_was_decided(outcome, decided, now, anew):
    assert rules.is_marked_anew(outcome, decided=decided, now=now) is anew


def test_how_a_redaction_stands_becomes_a_mark_and_a_proposal():
    nothing = items._marked(PAPER, frozenset({Mark.SEALED}), None)
    assert (nothing.marks, nothing.marked) == (frozenset({Mark.SEALED}), "")
    opened = items._marked(PAPER, frozenset(), Redacted(why_not=""))
    assert (opened.marks, opened.copy_lacks) == (frozenset(), "")
    waits = items._marked(PAPER, frozenset(), Redacted(marked="m", why_not="No copy was made."))
    assert (waits.marks, waits.copy_lacks) == (frozenset({Mark.MARKED}), "No copy was made.")
    proposal = proposal_for(waits, {})
    assert (proposal.outcome, proposal.rule) == (Outcome.REDACT, "marked")
    assert proposal.why.endswith("for redaction. No copy was made.")
    copied = items._marked(PAPER, frozenset(), Redacted("c", "m", words="it hides 2 places"))
    assert (copied.copy_digest, copied.copy_lacks) == ("c", "")
    assert (items._marked(PAPER, frozenset(), Redacted("c", key="k")).copy_key) == "k"
    assert proposal_for(copied, {}).why == "A redacted copy stands (it hides 2 places)."


def test_what_is_asked_names_up_to_six():
    assert "in Report, Letter. Choose" in rules.marked_words(["Report", "Letter"])
    assert "in A, B, C, D, E, F and 2 more." in rules.marked_words(list("ABCDEFGH"))
