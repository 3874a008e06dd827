"""Fields of letters: which there are, what is near an unknown one, and gaps."""

from __future__ import annotations

import pytest

from cases.letters.merging import (
    BY_NAME,
    FIELDS,
    Piece,
    gaps_in,
    merged,
    paragraphs,
    wrong_in_letter,
    wrong_in_template,
)
from cases.letters.standard import STANDARD
from me_office.statements import COMMON_PRACTICE, statements


def test_a_field_is_named_once_and_says_what_it_holds():
    assert len(BY_NAME) == len(FIELDS) > 30
    assert all(one.holds and one.holds == one.holds.strip() for one in FIELDS)
    assert {"demand list", "office.address", "counsel.address"} <= {
        one.name for one in FIELDS if one.lines
    }
    assert not BY_NAME["due.day"].lines


@pytest.mark.parametrize(
    ("text", "wrong"),
    [
        ("To {letter.to}: due {due.day}", ""),
        ("No field at all", ""),
        ("{ due.day }", ""),
        ("{fill in: a reason of your own}", ""),
        ("{request.numbr}", "There is no field “request.numbr”. Do you mean {request.number}?"),
        ("{Due Day}", "There is no field “Due Day”. Do you mean {due.day}?"),
        ("{xqzw}", "There is no field “xqzw”. The fields are listed beside the text."),
        ("{}", "There is no field between two braces."),
        ("{fill in: }", "There is no field “fill in:”. The fields are listed beside the text."),
        ("{due.day", "A brace is open or closed without the other."),
        ("due.day}", "A brace is open or closed without the other."),
        ("{a {due.day}", "A brace is open or closed without the other."),
    ],
)
def test_an_unknown_field_is_refused_with_the_nearest_known_one(text, wrong):
    assert wrong_in_template(text) == wrong


def test_what_is_known_is_filled_in_and_the_rest_stays_a_gap():
    values = {"letter.to": "A. Pell", "due.day": " 4 Dec 2026 ", "fee.total": "  "}
    said = merged("To { letter.to }: {due.day}, {fee.total}, {fill in: why}", values)
    assert said == "To A. Pell: 4 Dec 2026, {fill in: amount of the invoice}, {fill in: why}"
    assert gaps_in(said) == ["amount of the invoice", "why"]
    assert wrong_in_letter(said) == "Fill in or strike: amount of the invoice; why."
    assert merged("{other}", {}) == "{fill in: other}"


def test_braces_of_a_value_make_no_gap():
    assert merged("{request.party}", {"request.party": "{due.day} {x"}) == "(due.day) (x"
    assert wrong_in_letter("(due.day) (x") == ""


def test_a_gap_is_told_once_and_an_empty_or_open_brace_is_seen():
    assert gaps_in("{fill in: a} {fill in: b} {fill in: a} {}") == ["a", "b", "empty"]
    assert wrong_in_letter("left } over").startswith("A brace is left over.")
    assert wrong_in_letter("left { over").startswith("A brace is left over.")


def test_empty_lines_make_paragraphs_and_gaps_are_pieces():
    cut = paragraphs("\n\nOne\r\ntwo\n \n\nHas {fill in: x}, yes\n\n\n")
    assert cut == [
        [Piece("One\ntwo")],
        [Piece("Has "), Piece("fill in: x", gap=True), Piece(", yes")],
    ]
    assert paragraphs("  ") == []


def test_the_standard_letters_name_only_fields_that_there_are():
    assert len(STANDARD) == 9
    for kind, letter in STANDARD.items():
        assert wrong_in_template(letter.subject) == wrong_in_template(letter.body) == "", kind
        assert letter.body.startswith("To {letter.to}:\n\n")
        assert letter.body.endswith("\n\nPlease cite our reference in any reply.")


def test_what_the_standard_letters_say_is_listed_without_braces():
    listed = {one.key: one for one in statements() if one.where.startswith("Letters: ")}
    assert len(listed) == sum(one.body.count("\n\n") + 1 for one in STANDARD.values())
    said = listed["letters.no-record.2"]
    assert said.text.startswith("You asked on (request.served) for records of (decedent.name).")
    assert (said.where, said.source) == ("Letters: no record found", COMMON_PRACTICE)
