"""When a packet is out of date, its names, and what can be printed."""

from __future__ import annotations

import unicodedata
from dataclasses import replace
from datetime import UTC, datetime
from itertools import product
from types import SimpleNamespace

import pytest

from cases.packets import readme
from cases.packets.readme import readme_text
from cases.packets.rules import (
    Holds,
    ReleasedAs,
    number_ranges,
    photograph_name,
    released_as,
    what_changed,
)
from me_office.typesetting import printable

BUILT = Holds(
    addenda=(("addendum", 1), ("amendment", 2)),
    late_results=(3, 5),
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
        ({"late_results": (3, 5, 6, 7)}, ["Result 6 was recorded.", "Result 7 was recorded."]),
        ({"late_results": (3, 6)}, ["Result 5 was replaced.", "Result 6 was recorded."]),
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
        ({"redactions": {3: "b"}}, ["A redacted copy of photograph 2 was withdrawn."]),
        (
            {"redactions": {}},
            [
                "A redacted copy of photograph 2 was withdrawn.",
                "A redacted copy of photograph 3 was withdrawn.",
            ],
        ),
        (
            {"to_be_hidden": (1, 4)},
            [
                "A redacted copy of photograph 1 was requested.",
                "A redacted copy of photograph 4 was requested.",
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


# With photographs, the camera's notes, a redacted copy, the original wanted by name: the form.
FORMS = {
    (False, False, False, False): ReleasedAs.NOT_SENT,
    (False, False, False, True): ReleasedAs.NOT_SENT,
    (False, False, True, False): ReleasedAs.NOT_SENT,
    (False, False, True, True): ReleasedAs.NOT_SENT,
    (False, True, False, False): ReleasedAs.NOT_SENT,
    (False, True, False, True): ReleasedAs.NOT_SENT,
    (False, True, True, False): ReleasedAs.NOT_SENT,
    (False, True, True, True): ReleasedAs.NOT_SENT,
    (True, False, False, False): ReleasedAs.COPY,
    (True, False, False, True): ReleasedAs.COPY,
    (True, False, True, False): ReleasedAs.REDACTED,
    (True, False, True, True): ReleasedAs.COPY,
    (True, True, False, False): ReleasedAs.ORIGINAL,
    (True, True, False, True): ReleasedAs.ORIGINAL,
    (True, True, True, False): ReleasedAs.REDACTED,
    (True, True, True, True): ReleasedAs.ORIGINAL,
}


def test_the_form_of_a_photograph_follows_from_four_answers():
    assert set(FORMS) == set(product((False, True), repeat=4))
    for (photographs, notes, redacted, wanted), form in FORMS.items():
        assert form is released_as(
            with_photographs=photographs,
            camera_notes=notes,
            redacted=redacted,
            original_wanted=wanted,
        )


def test_a_photographs_file_is_named_by_number_form_and_digest():
    digest = "0123456789abcdef" * 4
    assert photograph_name(7, digest, "jpg") == "P-007-0123456789ab.jpg"
    assert photograph_name(12, digest, "png", ReleasedAs.REDACTED) == (
        "P-012-redacted-0123456789ab.png"
    )
    assert photograph_name(1234, digest, "jpg", ReleasedAs.COPY) == "P-1234-copy-0123456789ab.jpg"


def test_addenda_are_said_in_the_order_of_their_numbers_and_photographs_are_not_lost():
    built = Holds(addenda=(("amendment", 1), ("addendum", 2)), photographs=(1, 2, 3))
    now = Holds(photographs=(2, 3, 4), to_be_hidden=(3,))
    # Photograph 2 was chosen by name: nothing is said of it, and what follows still is.
    assert what_changed(built, now, with_photographs=True, originals=frozenset({2})) == [
        "Amendment 1 was withdrawn.",
        "Addendum 2 was withdrawn.",
        "Photograph 1 was withdrawn.",
        "A redacted copy of photograph 3 was requested.",
        "Photograph 4 was added.",
    ]


@pytest.mark.parametrize("asked", [True, False])
@pytest.mark.parametrize("held", [True, False])
@pytest.mark.parametrize("charts", [True, False])
@pytest.mark.parametrize("signed", [True, False])
def test_the_readme_names_only_what_the_packet_holds(monkeypatch, asked, held, charts, signed):
    monkeypatch.setattr(readme, "orders_of", lambda asked: [])
    material = SimpleNamespace(
        case=SimpleNamespace(label="2026-0016"),
        read_at=datetime(2026, 11, 28, 18, 45, tzinfo=UTC),
        draft=None,
        photographs=[object()] if held else [],
        measurements=[],
        addenda=[],
        charts=[object()] if charts else [],
        overlay_words_of=lambda one: "",
        plan=None,
        signed_pdf=SimpleNamespace(file=SimpleNamespace(sha256="5" * 64)) if signed else None,
    )
    request = SimpleNamespace(
        cause_number="", party="A", get_kind_display=lambda: "records request"
    )
    packet = SimpleNamespace(
        pk=1,
        number=1,
        request=request,
        with_photographs=asked,
        camera_notes=True,
        with_history=False,
        curricula=[],
    )
    words = readme_text(material, packet, [])
    assert ("data/photographs/" in words) is (asked and held)
    assert ("are not in this packet" in words) is (held and not asked)
    assert ("holds no photograph" in words) is (not held)
    assert ("data/body-chart/" in words) is charts
    assert ("data/signed-report.pdf " in words) is signed
    assert words.count("signed-report.pdf") == (2 if signed else 0)
    assert ("5" * 64 in words) is ("both PDFs" in words) is signed
    assert "data/report.pdf " in words
