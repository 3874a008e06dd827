"""What is typed into the search within a case, read."""

from __future__ import annotations

import pytest

from cases.case_search.rules import (
    AROUND,
    LONGEST,
    MOST_WORDS,
    Kind,
    around,
    numbered_as,
    pieces,
    read_asked,
)

P, F, E, T, R, A = (
    Kind.PHOTOGRAPH, Kind.FINDING, Kind.EXHIBIT, Kind.ITEM, Kind.RESULT, Kind.ADDENDUM,
)  # fmt: skip
ANY = {P, F, E, T, R, A}


@pytest.mark.parametrize(
    ("typed", "named", "words"),
    [
        ("P 12", {(P, "12")}, ()),
        ("p12", {(P, "12")}, ()),
        ("P-012", {(P, "12")}, ()),
        ("photograph 12", {(P, "12")}, ()),
        ("Photo no. 12", {(P, "12")}, ()),
        ("exhibit 7", {(E, "7")}, ()),
        ("Exhibit 7A", {(E, "7a")}, ()),
        ("exhibit 7-A", {(E, "7a")}, ()),
        ("finding 3", {(F, "3")}, ()),
        ("item 8", {(T, "8")}, ()),
        ("specimen 8", {(T, "8")}, ()),
        ("result 2", {(R, "2")}, ()),
        ("amendment 1", {(A, "1")}, ()),
        ("exhibit 7 drying", {(E, "7")}, ("drying",)),
        ("finding 3 photograph 12", {(F, "3"), (P, "12")}, ()),
        ("12", {(kind, "12") for kind in ANY}, ()),
        ("0", {(kind, "0") for kind in ANY}, ()),
        # No number of anything: a measure, a name, a number within words.
        ("9 mm", set(), ("9", "mm")),
        ("Quill", set(), ("quill",)),
        ("stop 12", set(), ("stop", "12")),
        ("exhibits", set(), ("exhibits",)),
        ("red-brown, dry!", set(), ("red", "brown", "dry")),
        ("", set(), ()),
        (" \t\n", set(), ()),
        ("—?!", set(), ()),
    ],
)
def test_numbers_and_words(typed, named, words):
    asked = read_asked(typed)
    assert asked.named == named
    assert asked.words == words
    assert asked.is_empty == (not named and not words)


def test_a_long_text_is_cut():
    asked = read_asked("word " * 100)
    assert len(asked.text) <= LONGEST
    assert len(asked.words) == MOST_WORDS


@pytest.mark.parametrize(
    ("typed", "some", "others", "none"),
    [
        ("left forearm", {"forearm_anterior_l", "forearm_posterior_l"}, (), {"forearm_anterior_r"}),
        ("forearm", {"forearm_anterior_l", "forearm_posterior_r"}, (), {"hand_dorsum_l"}),
        ("abrasion left forearm", {"forearm_anterior_l"}, ("abrasion",), {"thigh_anterior_l"}),
        ("upper back", {"back_upper_l", "back_upper_r"}, (), {"back_lower_l"}),
        ("kneecap", {"knee_l", "knee_r"}, (), {"ankle_l"}),
    ],
)
def test_a_part_of_the_body_is_known_by_its_words(typed, some, others, none):
    asked = read_asked(typed)
    assert some <= asked.regions
    assert not none & asked.regions
    assert asked.other_words == others


@pytest.mark.parametrize("typed", ["left", "upper of the", "drying", "left of drying", "Quill"])
def test_what_names_no_part_of_the_body_is_words_alone(typed):
    asked = read_asked(typed)
    assert asked.regions == frozenset()
    assert asked.other_words == ()


@pytest.mark.parametrize(
    ("number", "named"),
    [(12, "12"), ("7A", "7a"), ("State 7", "7"), ("012", "12"), ("A", "a"), ("2-B", "2b")],
)
def test_a_record_is_named_by_its_number(number, named):
    assert numbered_as(Kind.EXHIBIT, number) == (Kind.EXHIBIT, named)


def test_the_words_around_a_hit_are_cut_out():
    text = "a" * 100 + " Forearm " + "b" * 300
    cut = around(text, ("nothing", "forearm"))
    assert cut.startswith("… a")
    assert cut.endswith("b …")
    assert "Forearm" in cut
    assert len(cut) <= 3 * AROUND + 4
    assert around("Short text", ("short",)) == "Short text"
    assert around("Short text", ("absent",)) == "Short text"
    assert around("a " * 20 + "end", ("end",)) == "a " * 20 + "end"


@pytest.mark.parametrize(
    ("marked", "cut"),
    [
        (
            "an [old] [scar] here",
            [("an ", False), ("old", True), (" ", False), ("scar", True), (" here", False)],
        ),
        ("[all]", [("all", True)]),
        ("none", [("none", False)]),
        ("", []),
    ],
)
def test_marks_are_cut_into_pieces(marked, cut):
    assert pieces(marked, "[", "]") == cut
