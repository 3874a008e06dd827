"""What differs between a built answer and what stands now: by rules alone."""

from __future__ import annotations

from uuid import UUID

import pytest

from cases.answers.comparing import (
    Differs,
    Held,
    Stands,
    Whole,
    differences,
    held_in,
    why_not_delivered,
)

CASE, OTHER = UUID(int=1), UUID(int=2)


def held(number, outcome="release", **more):
    return Held("photograph", str(number), CASE, f"P {number}", outcome, "d1", **more)


def stands(number, outcome="release", **more):
    return Stands(CASE, f"P {number}", outcome, more.pop("digest", "d1"), **more)


def found(holds, now, **more):
    whole = Whole(**{"decided": "a", "approved": "a", "cases": {CASE}, **more})
    return differences(holds, {("photograph", number): one for number, one in now.items()}, whole)


def said(*args, **more):
    return [(one.words, one.firm) for one in found(*args, **more)]


def test_nothing_differs_where_all_stands_as_it_was():
    redacted = held(2, "redact", copy_digest="c")
    now = {"1": stands(1), "2": stands(2, "redact", copy_digest="c"), "3": stands(3, "withhold")}
    assert found([held(1), redacted], now) == []
    assert found([held(1)], {"1": stands(1, "sent")}) == []


@pytest.mark.parametrize(
    ("was", "now", "words", "firm"),
    [
        (held(1), stands(1, "withhold"), "P 1 is withheld now.", True),
        (held(1), stands(1, "missing"), "P 1 is not to be sent now.", True),
        (held(1), stands(1, "not ours"), "P 1 is not to be sent now.", True),
        (held(1), None, "P 1 is no longer among what is asked for: withdrawn, or left out.", True),
        (held(1), stands(1, "redact", copy_digest="c"),
         "P 1 goes out redacted now, and whole in it.", True),
        (held(1), stands(1, is_marked_anew=True),
         "P 1 is marked for redaction now, and whole in it.", True),
        (held(1, "redact", copy_digest="c"), stands(1, "redact", copy_digest="e"),
         "P 1 has another redacted copy now, or none.", True),
        (held(1, "redact", copy_digest="c"), stands(1, "redact"),
         "P 1 has another redacted copy now, or none.", True),
        (held(1, "redact", copy_digest="c"), stands(1),
         "P 1 goes out whole now, and redacted in it.", False),
        (held(1), stands(1, digest="d2"), "P 1 has changed since.", False),
        (held(1), stands(1, is_changed=True), "P 1 has changed since.", False),
    ],
)  # fmt: skip
def test_how_one_item_differs(was, now, words, firm):
    assert said([was], {"1": now} if now else {}) == [(words, firm)]


def test_alike_is_said_once_and_what_is_firm_first():
    holds = [held(n) for n in range(1, 13)]
    now = {str(n): stands(n, "withhold") for n in range(1, 11)}
    now |= {"11": stands(11, is_changed=True), "12": stands(12, is_changed=True)}
    assert said(holds, now) == [
        ("P 1, P 2, P 3, P 4, P 5, P 6, P 7, P 8 and 2 more are withheld now.", True),
        ("P 11 and P 12 have changed since.", False),
    ]


def test_what_stands_of_the_request():
    one, now = [held(1)], {"1": stands(1)}
    assert said(one, now, is_withdrawn=True) == [("The request was withdrawn.", True)]
    assert said(one, now, stops=[(CASE, "C: sealed by a court")]) == [
        ("C: sealed by a court.", True)
    ]
    assert said(one, now, stops=[(OTHER, "X: sealed by a court")]) == []
    assert said(one, now, approved="") == [("What goes out is no longer approved.", False)]
    assert said(one, now, approved="b") == [("It was decided and approved anew.", False)]
    assert said([], {"9": stands(9)}) == [("P 9 goes out now and is not in it.", False)]
    assert said([], {"9": stands(9, is_changed=True)}) == []
    assert said([], {"8": stands(8), "9": stands(9, "redact")}) == [
        ("P 8 and P 9 go out now and are not in it.", False)
    ]


def test_of_a_case_that_the_person_may_not_know_of_nothing_is_said():
    assert said([held(1)], {}, cases=(), closed=1) == []
    [(words, firm)] = said([held(1)], {}, cases=())
    assert ("no longer asks" in words, firm) == (True, True)


def test_what_is_firm_keeps_it_and_else_a_second_person_says_why():
    soft, firm = Differs("It was approved anew."), Differs("P 1 is withheld now.", firm=True)
    assert why_not_delivered([], although="", may_although=False) == ""
    assert "leave this empty" in why_not_delivered([], although="So.", may_although=True)
    for although, may in (("", True), ("The same.", False), ("", False)):
        why = why_not_delivered([soft], although=although, may_although=may)
        assert "approved anew" in why
        assert "somebody who may approve" in why
    assert why_not_delivered([soft], although="The same.", may_although=True) == ""
    why = why_not_delivered([soft, firm], although="The same.", may_although=True)
    assert why.endswith("P 1 is withheld now. Build another answer.")


def test_an_item_is_kept_and_read_again_and_an_earlier_answer_says_less():
    one = held(1, "redact", copy_digest="c")
    assert held_in([one.as_row]) == [one]
    [old] = held_in([["photograph", "1", str(CASE)]])
    assert said([old], {"1": stands(1, digest="d9", copy_digest="x")}) == []
    assert said([old], {"1": stands(1, "withhold")}) == [("P 1 is withheld now.", True)]
