"""Pages and lines of a statement's text: numbers as printed, else counted."""

from __future__ import annotations

import pytest

from cases.statements import rules
from cases.statements.paging import WrongText, numbered, pages_of_text
from tests.statements.builders import TRANSCRIPT


def test_a_transcript_keeps_its_numbers_of_pages_and_lines():
    pages = pages_of_text(TRANSCRIPT)
    assert [(page.number, page.printed, len(page.lines)) for page in pages] == [
        (31, True, 5), (32, True, 4),
    ]  # fmt: skip
    assert pages[0].lines[1] == (2, "A. About ten centimeters.")
    assert pages[0].lines[4] == (5, "")


def test_a_page_number_below_its_page_is_the_page_s():
    pages = pages_of_text("one\ntwo\nPage 7\nthree\n- Page 9 of 12 -\n")
    assert [(page.number, page.lines[0][1]) for page in pages] == [(7, "one"), (9, "three")]


def test_form_feeds_part_pages_and_printed_numbers_are_taken_from_the_head_or_foot():
    head = pages_of_text("\f".join(f"{n}\nwords {n}" for n in (40, 41, 42)))
    foot = pages_of_text("\f".join(f"words {n}\n\nPage {n} of 60\n" for n in (40, 41, 42)))
    for pages in (head, foot):
        assert [page.number for page in pages] == [40, 41, 42]
        assert pages[1].lines[0] == (1, "words 41")
    assert [page.number for page in pages_of_text("a\fb", first_page=12)] == [12, 13]
    assert [page.number for page in pages_of_text("a\fb")] == [1, 2]


def test_numbers_that_do_not_follow_one_another_are_no_page_numbers():
    pages = pages_of_text("12\nwords\f99\nmore")
    assert [page.number for page in pages] == [1, 2]
    assert pages[0].lines[0] == (1, "12")


def test_lines_without_numbers_are_counted_blank_ones_too():
    (page,) = pages_of_text("Dear Sir,\n\nIt was ten  centimeters.\n\n")
    assert not page.printed
    assert page.lines == ((1, "Dear Sir,"), (2, ""), (3, "It was ten centimeters."))


def test_a_line_in_between_that_carries_no_number_means_that_none_are_printed():
    broken = "1 one\n2 two\n3 three\nand more\n4 four\n5 five"
    (page,) = pages_of_text(broken)
    assert not page.printed
    assert page.lines[0] == (1, "1 one")
    (with_head,) = pages_of_text("CAUSE 26-CF\n1 one\n2 two\n3 three\n4 four\nReported by K. Low")
    assert with_head.printed
    assert with_head.lines[-1] == (4, "four")
    (three,) = pages_of_text("1 one\n2 two\n3 three")
    assert not three.printed


WRONG = [
    ("  \n ", "There is no text in it."),
    ("before\nPage 3\nwords\nPage 4\nafter", "Some lines belong to no page"),
    ("Page 3\nwords\nPage 3\nmore", "Page 3 comes after page 3."),
    ("Page 9\nwords\nPage 3\nmore", "Page 3 comes after page 9."),
]


@pytest.mark.parametrize(("text", "why"), WRONG)
def test_a_text_that_cannot_be_kept_by_page_and_line_is_refused_in_words(text, why):
    with pytest.raises(WrongText, match=why):
        pages_of_text(text)


def test_pages_and_lines_have_limits():
    most, lines = rules.MOST_PAGES, rules.MOST_LINES_A_PAGE
    assert len(numbered([["a"]] * most)) == most
    with pytest.raises(WrongText, match=f"{most + 1} pages; at most {most}"):
        numbered([["a"]] * (most + 1))
    assert len(numbered([["a"] * lines])[0].lines) == lines
    with pytest.raises(WrongText, match=f"{lines + 1} lines; at most {lines}"):
        numbered([["a"] * (lines + 1)])
    with pytest.raises(WrongText, match="numbers its own pages"):
        pages_of_text("Page 3\nwords", first_page=3)


def test_signs_that_command_a_machine_are_left_out():
    (page,) = pages_of_text("te\x00n\x1b[31m cm\t\ttall")
    assert page.lines[0][1] == "ten[31m cm tall"


def test_no_line_turns_the_words_around_or_holds_what_cannot_be_kept():
    (page,) = numbered(
        [["It was \u202eon the left\u2066 arm", "Half a \ud83d sign, \u0085 caf\xe9"]]
    )
    assert [words for _, words in page.lines] == ["It was on the left arm", "Half a sign, caf\xe9"]
