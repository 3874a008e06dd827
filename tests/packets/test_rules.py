"""When a packet is out of date, its names, and what can be printed."""

from __future__ import annotations

import unicodedata
from dataclasses import replace

import pytest

from cases.packets.rules import Holds, number_ranges, photograph_name, what_changed
from me_office.typesetting import printable

BUILT = Holds(
    addenda=(("addendum", 1), ("amendment", 2)),
    photographs=(1, 2, 3, 4),
    redactions={2: "a", 3: "b"},
)


@pytest.mark.parametrize(
    ("now", "said"),
    [
        ({}, []),
        ({"addenda": (("addendum", 1),)}, ["Amendment 2 was withdrawn."]),
        (
            {"addenda": (("addendum", 1), ("amendment", 2), ("addendum", 3), ("amendment", 4))},
            ["Addendum 3 was added.", "Amendment 4 was added."],
        ),
        ({"photographs": (1, 3, 4)}, ["Photograph 2 was withdrawn."]),
        (
            {"photographs": (1, 2, 3, 4, 5, 6)},
            ["Photograph 5 was added.", "Photograph 6 was added."],
        ),
        (
            {"redactions": {1: "c", 2: "a", 3: "b"}},
            ["A redacted copy of photograph 1 was made."],
        ),
        ({"redactions": {2: "a", 3: "other"}}, ["A redacted copy of photograph 3 was made."]),
        ({"redactions": {3: "b"}}, ["A redacted copy of photograph 2 was taken back."]),
        (
            {"redactions": {}},
            [
                "A redacted copy of photograph 2 was taken back.",
                "A redacted copy of photograph 3 was taken back.",
            ],
        ),
        (
            {"to_be_hidden": (1, 4)},
            [
                "A redacted copy of photograph 1 was asked for.",
                "A redacted copy of photograph 4 was asked for.",
            ],
        ),
    ],
)
def test_what_would_go_out_otherwise_today_is_said(now, said):
    as_it_is = replace(BUILT, **now)
    assert what_changed(BUILT, as_it_is, with_photographs=True) == said
    # Without photographs only what is printed counts.
    words = [one for one in said if "hotograph" not in one]
    assert what_changed(BUILT, as_it_is, with_photographs=False) == words


def test_what_is_hidden_in_an_original_that_was_chosen_by_name_changes_nothing():
    now = replace(BUILT, redactions={2: "a", 4: "c"}, to_be_hidden=(1,))
    assert what_changed(BUILT, now, with_photographs=True, originals=frozenset({1, 3, 4})) == []
    assert len(what_changed(BUILT, now, with_photographs=True, originals=frozenset({3}))) == 2
    gone = replace(now, photographs=(1, 2, 3))
    assert what_changed(BUILT, gone, with_photographs=True, originals=frozenset({1, 3, 4})) == [
        "Photograph 4 was withdrawn."
    ]


def test_letters_the_faces_lack_are_named_and_never_dropped():
    # Code points after the Unicode Character Database, as Python's unicodedata holds it.
    assert unicodedata.name("李").startswith("CJK UNIFIED IDEOGRAPH-674E")
    assert printable("李 Łuk Öz Ωμέγα Иван 4 × 3 cm") == "[U+674E] Łuk Öz Ωμέγα Иван 4 × 3 cm"
    assert printable("a\x07b\tc") == "a[U+0007]b c"
    assert printable("seen 😀") == "seen [U+1F600]"
    plain = "On the right chest – “quoted”, 11.0 × 6.5 cm; ± 2 °C.\nNext line"
    assert printable(plain) == plain


def test_numbers_are_said_as_runs():
    assert number_ranges([]) == []
    assert number_ranges([3, 1, 2, 7, 9, 10, 2]) == [[1, 3], [7, 7], [9, 10]]


def test_a_photographs_file_is_named_by_number_and_digest():
    assert photograph_name(7, "ab" * 32, "jpg") == "P-007-abababababab.jpg"
