"""How a place is written and read, and what cannot be so of a statement."""

from __future__ import annotations

from datetime import date

import pytest

from cases.statements.rules import Line, Place, read_place, wrong_in_place, wrong_in_statement

PLACES = [
    ("31:4", "31:4"),
    ("31:4-9", "31:4-9"),
    (" p. 31:4 – 9 ", "31:4-9"),
    ("31:24-32:3", "31:24-32:3"),
    ("31:4-31:9", "31:4-9"),
    ("31:4-4", "31:4"),
]


@pytest.mark.parametrize(("typed", "written"), PLACES)
def test_a_place_is_read_as_transcripts_are_cited(typed, written):
    assert str(read_place(typed)) == written


@pytest.mark.parametrize("typed", ["", "31", "31-32", "31:4-", "a:b", "31:4-9-10", "31:4 x"])
def test_what_names_no_lines_is_not_guessed(typed):
    assert read_place(typed) is None


def test_a_passage_ends_where_it_begins_or_later():
    assert wrong_in_place(Place(Line(31, 4), Line(31, 4))) == ""
    assert wrong_in_place(Place(Line(31, 25), Line(32, 1))) == ""
    assert wrong_in_place(Place(Line(31, 4), Line(31, 3))) != ""
    assert wrong_in_place(Place(Line(32, 1), Line(31, 25))) != ""


TODAY = date(2026, 11, 29)


def test_what_cannot_be_so_is_said_by_field():
    said = {"kind": "deposition", "given_on": TODAY, "court": "", "first_page": None}
    assert wrong_in_statement(said, TODAY) == {}
    assert set(wrong_in_statement({**said, "given_on": date(2026, 11, 30)}, TODAY)) == {"given_on"}
    for kind in ("hearing", "trial"):
        assert set(wrong_in_statement({**said, "kind": kind}, TODAY)) == {"court"}
        assert wrong_in_statement({**said, "kind": kind, "court": "Circuit"}, TODAY) == {}
    for page, wrong in ((0, True), (1, False), (99_999, False), (100_000, True)):
        assert ("first_page" in wrong_in_statement({**said, "first_page": page}, TODAY)) is wrong
