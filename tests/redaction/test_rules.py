"""Rules of redacting documents: boxes on a page, the digest of a choice, what is said of it."""

from __future__ import annotations

import pytest

from cases.redaction.rules import (
    MOST_AT_ONCE,
    MOST_BOXES,
    SMALLEST,
    WHOLE,
    Chosen,
    MarkKind,
    WrongMark,
    digest_of_choice,
    elsewhere_words,
    one_line,
    read_boxes,
    wrong_in_marks,
)

MARK = {
    "page": 1, "kind": "words", "boxes": [[1, 2, 30, 40]], "words": "Quince", "first": 4,
    "last": 9, "number": "3",
}  # fmt: skip


def test_boxes_are_read_with_their_corners_in_order():
    assert read_boxes([[300, 400, 100, 200]]) == ((100, 200, 300, 400),)
    assert read_boxes([[0, 0, WHOLE, WHOLE]]) == ((0, 0, WHOLE, WHOLE),)
    assert read_boxes([[5, 5, 5 + SMALLEST, 5 + SMALLEST]])
    assert len(read_boxes([[0, 0, 100, 100]] * MOST_BOXES)) == MOST_BOXES


@pytest.mark.parametrize(
    ("given", "said"),
    [
        ([], "at least one"),
        (None, "at least one"),
        ("none", "at least one"),
        (b"none", "at least one"),
        ([[0, 0, 100, 100]] * (MOST_BOXES + 1), "up to 400"),
        ([[0, 0, 100]], "four whole numbers"),
        ([[0, 0, 100, 100, 100]], "four whole numbers"),
        ([[0, 0, 100, 100.5]], "four whole numbers"),
        (["0123"], "four whole numbers"),
        ([7], "four whole numbers"),
        ([[-1, 0, 100, 100]], "past the page"),
        ([[0, -1, 100, 100]], "past the page"),
        ([[0, 0, WHOLE + 1, 100]], "past the page"),
        ([[0, 0, 100, WHOLE + 1]], "past the page"),
        ([[0, 0, SMALLEST - 1, 100]], "too small"),
        ([[0, 0, 100, SMALLEST - 1]], "too small"),
    ],
)
def test_a_box_that_cannot_be_drawn_says_why(given, said):
    with pytest.raises(WrongMark, match=said):
        read_boxes(given)


def test_the_digest_of_a_choice_follows_from_what_is_hidden_and_from_nothing_else():
    other = {**MARK, "page": 2}
    assert digest_of_choice("a", [MARK, other]) == digest_of_choice("a", [other, MARK])
    assert digest_of_choice("a", [{**MARK, "id": "7", "reason": "x"}]) == digest_of_choice(
        "a", [MARK]
    )
    alike = {digest_of_choice("a", [MARK]), digest_of_choice("b", [MARK])}
    for name, value in (
        ("page", 3), ("kind", "area"), ("boxes", [[1, 2, 30, 41]]), ("words", "Quinc"),
        ("first", 3), ("last", 10), ("number", "4"),
    ):  # fmt: skip
        alike.add(digest_of_choice("a", [{**MARK, name: value}]))
    assert len(alike) == 9


def test_marks_are_refused_past_the_document_and_in_too_great_a_number():
    one = Chosen(2, MarkKind.AREA, ((0, 0, 100, 100),))
    assert wrong_in_marks(2, [one]) == ""
    assert wrong_in_marks(2, [one] * MOST_AT_ONCE) == ""
    assert wrong_in_marks(2, []) == "Choose words or draw an area first."
    assert wrong_in_marks(1, [one]) == "The document has 1 page."
    assert wrong_in_marks(3, [one, Chosen(4, MarkKind.AREA, one.boxes)]) == (
        "The document has 3 pages."
    )
    assert wrong_in_marks(3, [Chosen(0, MarkKind.AREA, one.boxes)]) != ""
    assert wrong_in_marks(2, [one] * (MOST_AT_ONCE + 1)) == (
        "Up to 500 places are marked at once. Choose fewer."
    )


def test_where_hidden_words_are_left_is_said_with_its_pages():
    assert elsewhere_words([]) == ""
    assert elsewhere_words([{"page": 2, "times": 1}]) == "1 time, on page 2"
    found = [{"page": 5, "times": 2}, {"page": 2, "times": 1}, {"page": 5, "times": 1}]
    assert elsewhere_words(found) == "4 times, on pages 2 and 5"
    assert elsewhere_words([*found, {"page": 9, "times": 1}]) == "5 times, on pages 2, 5 and 9"


def test_words_are_compared_on_one_line():
    assert one_line(" Alder \n\t Lane ") == "Alder Lane"
