"""States of a packet, when it is taken up again, and what can be printed."""

from __future__ import annotations

import unicodedata
from datetime import timedelta

import pytest

from cases.packets.rules import (
    ALLOWED_MOVES,
    SILENCE,
    PacketState,
    can_move,
    is_abandoned,
    may_begin,
    number_ranges,
    photograph_name,
)
from me_office.typesetting import printable

MOMENT_AGO = timedelta(seconds=5)
LONG_AGO = SILENCE + timedelta(seconds=1)


def test_a_built_packet_never_moves_and_a_failed_one_waits_again():
    assert set(ALLOWED_MOVES) == set(PacketState)
    assert not any(can_move(PacketState.BUILT, to) for to in PacketState)
    assert [to for to in PacketState if can_move(PacketState.FAILED, to)] == [PacketState.WAITING]


@pytest.mark.parametrize(
    ("state", "silent_for", "begins", "abandoned"),
    [
        (PacketState.WAITING, MOMENT_AGO, True, False),
        (PacketState.WAITING, LONG_AGO, True, True),
        (PacketState.BUILDING, MOMENT_AGO, False, False),
        (PacketState.BUILDING, LONG_AGO, True, True),
        (PacketState.FAILED, LONG_AGO, False, False),
        (PacketState.BUILT, LONG_AGO, False, False),
    ],
)
def test_only_what_nobody_works_on_is_begun(state, silent_for, begins, abandoned):
    assert may_begin(state, silent_for) is begins
    assert is_abandoned(state, silent_for) is abandoned


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
