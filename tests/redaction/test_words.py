"""Words of a page and their places, found whatever the line ends, hyphens and ligatures."""

from __future__ import annotations

import pytest

from cases.redaction.pdf.words import (
    Character,
    Place,
    around,
    boxes_of,
    find,
    folded,
    remaining,
    running,
    touches,
    words_between,
    words_of,
)

WIDE, HIGH = 100, 200


def page_of(*lines: str) -> list[Character]:
    """Lines of text, each character as wide as the next, as a reader of PDF gives them."""
    page: list[Character] = []
    for row, line in enumerate(lines):
        for column, one in enumerate(line):
            left, top = column * WIDE, row * 300
            box = (0, 0, 0, 0) if one == " " else (left, top, left + WIDE, top + HIGH)
            page.append(Character(one, box))
        if row + 1 < len(lines) and not line.endswith("\u0002"):
            page += [Character("\r", (0, 0, 0, 0)), Character("\n", (0, 0, 0, 0))]
    return page


def test_words_have_their_places_and_their_boxes():
    page = page_of("At nine", "a fall")
    assert [(one.first, one.last, one.text) for one in words_of(page)] == [
        (0, 1, "At"),
        (3, 6, "nine"),
        (9, 9, "a"),
        (11, 14, "fall"),
    ]
    assert words_of(page)[1].boxes == ((300, 0, 700, 200),)


def test_a_word_that_goes_on_in_another_line_is_a_word_in_each():
    page = page_of("a misunder\u0002", "standing")
    assert [one.text for one in words_of(page)] == ["a", "misunder-", "standing"]
    assert boxes_of(page, 2, len(page) - 1) == ((200, 0, 1100, 200), (0, 300, 800, 500))


def test_words_of_one_line_that_stand_far_apart_have_boxes_of_their_own():
    page = page_of("to the" + " " * 12 + "left")
    assert boxes_of(page, 0, len(page) - 1) == ((0, 0, 600, 200), (1800, 0, 2200, 200))


def test_characters_that_run_down_the_page_are_one_word():
    page = [Character(one, (0, at * 100, 200, at * 100 + 100)) for at, one in enumerate("turned")]
    assert [one.text for one in words_of(page)] == ["turned"]
    assert boxes_of(page, 0, 5) == ((0, 0, 200, 600),)


@pytest.mark.parametrize(
    ("lines", "wanted", "places"),
    [
        (("Marla Quince",), "marla quince", [(0, 11)]),
        (("Marla", "Quince"), "Marla  Quince", [(0, 12)]),
        (("Marla Quin\u0002", "ce"), "Marla Quince", [(0, 12)]),
        (("co\u0002", "worker"), "co-worker", [(0, 8)]),
        (("co\u0002", "worker"), "coworker", [(0, 8)]),
        (("co-", "worker"), "coworker", [(0, 10)]),
        (("co-", "worker"), "co-worker", [(0, 10)]),
        (("co-worker",), "coworker", []),
        (("the oﬃcer",), "officer", [(4, 8)]),
        (("Renée",), "renee", [(0, 4)]),
        (("Müller",), "Mu\u0308ller", [(0, 5)]),
        (("anan",), "an", [(0, 1), (2, 3)]),
        (("aaa",), "aa", [(0, 1), (1, 2)]),
        (("שלום עולם",), "עולם", [(5, 8)]),
        (("“Doe’s”",), "Doe's", [(1, 5)]),
        (("nothing",), "  ", []),
        (("nothing",), "thing of", []),
    ],
)
def test_words_are_found_as_they_are_printed(lines, wanted, places):
    found = list(find([page_of(*lines)], wanted))
    assert found == [Place(1, first, last) for first, last in places]


def test_places_are_found_on_their_pages():
    pages = [page_of("Doe"), page_of("none"), page_of("a Doe")]
    assert list(find(pages, "doe")) == [Place(1, 0, 2), Place(3, 2, 4)]


def test_text_is_compared_without_case_accents_and_kinds_of_quotes():
    assert folded("ÉCOLE ß ﬁ “x” – ’") == 'ecole ss fi "x" - \''
    assert folded("a\u200bb") == "ab"


def test_the_running_text_says_where_each_of_its_characters_stands():
    text, places = running(page_of("ﬁn  e"), with_hyphens=False)
    assert (text, places) == ("fin e", [0, 0, 1, 2, 4])


def test_what_stands_around_a_place_is_shown():
    page = page_of("She heard Marla Quince call")
    assert around(page, Place(1, 10, 21)) == ("She heard ", "Marla Quince", " call")
    assert around(page, Place(1, 0, 2)) == ("", "She", " heard Marla Quince call")
    assert around(page, Place(1, 11, 21)) == ("She heard M", "arla Quince", " call")
    assert words_between(page, 0, 8) == "She heard"


def test_a_word_of_which_a_part_is_covered_is_gone_as_a_whole():
    page = page_of("She heard Marla")
    text = [one.text for one in remaining(page, [(850, 0, 880, 50)])]
    assert text == ["She", "Marla"]
    assert [one.text for one in remaining(page, [(0, 200, 900, 300)])] == ["She", "heard", "Marla"]
    assert remaining(page, [(0, 0, 10_000, 10_000)]) == []


def test_boxes_touch_where_they_share_more_than_an_edge():
    assert touches((0, 0, 10, 10), (9, 9, 20, 20))
    assert not touches((0, 0, 10, 10), (10, 0, 20, 10))
    assert not touches((0, 0, 10, 10), (0, 10, 10, 20))
    assert not touches((0, 0, 10, 10), (9, 0, 20, 10), least=1)
