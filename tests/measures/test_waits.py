"""What waits for whom: rows, columns, ages and choices."""

from __future__ import annotations

from datetime import date, timedelta
from uuid import UUID

import pytest

from cases.measures.waits import (
    COUNTED_FROM,
    NOBODY,
    Wait,
    WaitKind,
    chosen,
    detail_words,
    lines_of,
)

TODAY = date(2026, 11, 29)


def wait(n: int, ago: int, person: str = "v", kind=WaitKind.WRITING, **more) -> Wait:
    since = TODAY - timedelta(days=ago)
    return Wait(kind, UUID(int=n), f"2026-{n:04}", since, person, **more)


def test_a_row_for_each_person_by_name_and_those_that_nobody_has_last():
    waits = [
        wait(1, 5), wait(2, 9), wait(3, 2, kind=WaitKind.PENDING), wait(4, 7, "a"),
        wait(5, 40, "", kind=WaitKind.IN_REVIEW),
    ]  # fmt: skip
    lines = lines_of(waits, {"v": "Dr. Vasko", "a": "Dr. Amadi"}, TODAY)
    assert [(line.name, line.person) for line in lines] == [
        ("Dr. Amadi", "a"), ("Dr. Vasko", "v"), ("Nobody named", NOBODY),
    ]  # fmt: skip
    cells = dict(lines[1].cells)
    assert (cells[WaitKind.WRITING].count, cells[WaitKind.WRITING].oldest_days) == (2, 9)
    assert cells[WaitKind.PENDING].oldest_words == "2 days"
    assert cells[WaitKind.LATE].count == 0
    assert (lines[1].total.count, lines[1].total.oldest_days) == (3, 9)
    assert len(lines[1].cells) == len(WaitKind) == len(COUNTED_FROM)
    assert len({one.words for one in WaitKind}) == len(WaitKind)


def test_what_is_chosen_comes_oldest_first():
    waits = [wait(1, 5), wait(2, 9), wait(3, 7, "a"), wait(4, 1, "", kind=WaitKind.IN_REVIEW)]
    assert [one.label[-1] for one in chosen(waits)] == ["2", "3", "1", "4"]
    assert [one.label[-1] for one in chosen(waits, person="v")] == ["2", "1"]
    assert [one.label[-1] for one in chosen(waits, kind="in-review")] == ["4"]
    assert [one.label[-1] for one in chosen(waits, person=NOBODY)] == ["4"]
    assert chosen(waits, kind="anything else") == []


@pytest.mark.parametrize(
    ("kind", "ago", "late"),
    [
        (WaitKind.NOT_BEGUN, 90, False), (WaitKind.NOT_BEGUN, 91, True),
        (WaitKind.WRITING, 91, True), (WaitKind.IN_REVIEW, 91, True),
        (WaitKind.SENT_BACK, 91, True),
        (WaitKind.PENDING, 91, False), (WaitKind.RESULTS, 400, False),
    ],
)  # fmt: skip
def test_a_report_is_late_after_ninety_days_from_the_examination(kind, ago, late):
    one = wait(1, 1, kind=kind, examined_on=TODAY - timedelta(days=ago))
    assert one.is_late(TODAY) is late


def test_what_was_not_examined_is_not_late():
    assert not wait(1, 400, kind=WaitKind.NOT_EXAMINED).is_late(TODAY)
    assert wait(1, 400).days_since_examination(TODAY) is None
    tomorrow = wait(1, -1, examined_on=TODAY + timedelta(days=1))
    assert (tomorrow.days(TODAY), tomorrow.days_since_examination(TODAY)) == (0, 0)


def test_whose_work_it_is():
    one = wait(1, 1, "a", also="v")
    assert [one.concerns(who) for who in ("a", "v", "x")] == [True, True, False]


def test_what_stands_beneath_a_row():
    one = wait(1, 1, detail="signed", reasons=("toxicology",), examined_on=date(2026, 9, 3))
    assert detail_words(one) == "signed; toxicology; examined 3 Sep 2026"
    assert detail_words(wait(1, 1)) == ""
