"""Page and line of passages, from where lines and marks lie."""

from __future__ import annotations

import pytest

from cases.review.lines import SAME_LINE_PT, Lines, lines_of

LINES = [
    {"page": page, "n": n, "y": 80.0 + 13.5 * n} for page in (1, 2) for n in (1, 2, 3)
]  # fmt: skip


def mark(key, end, page, y):
    """Where a passage begins or ends."""
    return {"key": key, "end": end, "page": page, "y": y}


def test_a_passage_goes_from_its_first_line_to_its_last():
    marks = [
        mark("one", False, 1, 93.5), mark("one", True, 1, 93.5),
        mark("two", False, 1, 107.0), mark("two", True, 1, 120.5),
        mark("over", False, 1, 120.5), mark("over", True, 2, 107.0),
    ]  # fmt: skip
    assert lines_of(LINES, marks) == {
        "one": Lines(1, 1, 1, 1),
        "two": Lines(1, 2, 1, 3),
        "over": Lines(1, 3, 2, 2),
    }
    assert lines_of(reversed(LINES), reversed(marks)) == lines_of(LINES, marks)


def test_small_words_of_a_line_count_to_it_and_what_lies_between_lines_to_none():
    near, far = 93.5 + SAME_LINE_PT, 93.5 + SAME_LINE_PT + 0.1
    assert lines_of(LINES, [mark("a", False, 1, near), mark("a", True, 1, near)]) == {
        "a": Lines(1, 1, 1, 1)
    }
    assert lines_of(LINES, [mark("a", False, 1, far), mark("a", True, 1, far)]) == {}
    assert lines_of(LINES, [mark("a", False, 3, near), mark("a", True, 3, near)]) == {}


def test_a_row_goes_from_the_first_line_of_any_cell_to_the_last_of_any():
    marks = [
        mark("row", False, 1, 107.0), mark("row", True, 1, 107.0),
        mark("row", False, 1, 107.0), mark("row", True, 2, 93.5),
        mark("row", False, 1, 120.5), mark("row", True, 1, 120.5),
    ]  # fmt: skip
    assert lines_of(LINES, marks) == {"row": Lines(1, 2, 2, 1)}


def test_what_has_no_end_or_ends_before_it_begins_has_no_place():
    marks = [
        mark("open", False, 1, 93.5),
        mark("ended", True, 1, 93.5),
        mark("back", False, 1, 120.5), mark("back", True, 1, 93.5),
    ]  # fmt: skip
    assert lines_of(LINES, marks) == {}
    assert lines_of([], [mark("a", False, 1, 93.5), mark("a", True, 1, 93.5)]) == {}


@pytest.mark.parametrize(
    ("place", "words"),
    [
        ((3, 12, 3, 12), "page 3, line 12"),
        ((3, 12, 3, 13), "page 3, lines 12 to 13"),
        ((3, 40, 4, 2), "page 3, line 40, to page 4, line 2"),
        # A larger number on a later page, or the same, is no range within one page.
        ((3, 2, 4, 2), "page 3, line 2, to page 4, line 2"),
    ],
)
def test_a_place_is_cited_as_courts_do_and_kept_whole(place, words):
    assert Lines(*place).words == words
    assert Lines(*Lines(*place).kept()) == Lines(*place)
