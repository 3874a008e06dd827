"""How far a witness is, in numbers and words."""

from __future__ import annotations

import pytest

from cases.rehearsal.rules import OUTCOMES, Outcome, Standing, standing


@pytest.mark.parametrize(
    ("there", "words", "done"),
    [
        (Standing(), "not rehearsed yet", False),
        (Standing(unasked=4), "not rehearsed yet", False),
        (Standing(3), "3 came at once", True),
        (Standing(3, 1), "3 came at once, 1 to come back to", False),
        (Standing(0, 2), "2 to come back to", False),
        (Standing(3, 0, 1), "3 came at once, 1 not asked yet", False),
        (Standing(1, 2, 3), "1 came at once, 2 to come back to, 3 not asked yet", False),
    ],
)
def test_how_far_a_witness_is(there: Standing, words: str, done: bool) -> None:
    assert (there.words, there.is_done) == (words, done)


def test_only_what_is_asked_now_counts() -> None:
    kept = {"what": "came", "part": "again", "gone": "came"}
    assert standing(["what", "part", "size"], kept) == Standing(1, 1, 1)
    assert standing([], kept) == Standing()


def test_the_outcomes_have_words() -> None:
    assert OUTCOMES == [("came", "came at once"), ("again", "come back to it")]
    assert {one.value for one in Outcome} == {key for key, _ in OUTCOMES}
