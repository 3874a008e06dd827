"""Codes, which certificate signs, and what is said of a document."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from uuid import UUID

import pytest

from cases.signatures.rules import (
    FIELDS,
    LETTERS,
    NEAR_ITS_END,
    RENEWED_BEFORE,
    Later,
    SignedBy,
    code_of,
    good_one,
    is_good,
    is_to_be_renewed,
    later_words,
    read_code,
    read_digest,
    state_words,
)

KEY = UUID("018f3f6e-7c1a-7000-8000-00000000002a")
START, END = datetime(2026, 3, 1, tzinfo=UTC), datetime(2028, 3, 1, tzinfo=UTC)
SECOND = timedelta(seconds=1)


@dataclass
class Held:
    not_before: datetime = START
    not_after: datetime = END
    revoked_at: datetime | None = None


def test_a_code_is_the_same_for_its_key_and_another_for_another():
    # The first 60 bits of SHA-256("document " + key), five at a time, computed apart from the code.
    assert code_of(KEY) == "PZHP-NBQ1-VP66"
    codes = {code_of(UUID(int=n)) for n in range(500)}
    assert len(codes) == 500
    assert all(read_code(code) == code for code in codes)
    letters = Counter("".join(codes).replace("-", ""))
    assert set(letters) == set(LETTERS)
    assert max(letters.values()) < 2 * min(letters.values())


@pytest.mark.parametrize(
    ("typed", "read"),
    [
        ("K7QF-2M9X-4TBD", "K7QF-2M9X-4TBD"),
        ("k7qf2m9x4tbd", "K7QF-2M9X-4TBD"),
        (" K7QF 2M9X – 4TBD ", "K7QF-2M9X-4TBD"),
        ("oiIl-LO00-1111", "0111-1000-1111"),
        ("K7QF-2M9X-4TB", None),
        ("K7QF-2M9X-4TBDD", None),
        ("K7QF-2M9X-4TBU", None),
        ("", None),
        ("a" * 64, None),
    ],
)
def test_a_code_is_read_however_it_was_typed(typed, read):
    assert read_code(typed) == read


@pytest.mark.parametrize(
    ("typed", "read"),
    [
        ("AB" * 32, "ab" * 32),
        (" ".join(["0123"] * 16), "0123" * 16),
        ("a" * 63, None),
        ("a" * 65, None),
        ("g" * 64, None),
        ("K7QF-2M9X-4TBD", None),
    ],
)
def test_a_digest_is_read_however_it_was_typed(typed, read):
    assert read_digest(typed) == read


@pytest.mark.parametrize(
    ("at", "revoked", "good"),
    [
        (START - SECOND, None, False),
        (START, None, True),
        (END, None, True),
        (END + SECOND, None, False),
        (START + SECOND, START + SECOND, False),
        (START, START + SECOND, True),
    ],
)
def test_a_certificate_signs_from_its_first_moment_to_its_last_unless_it_was_revoked(
    at, revoked, good
):
    assert is_good(Held(revoked_at=revoked), at) is good


def test_of_several_good_ones_the_last_made_signs():
    first, second = Held(), Held(START + timedelta(days=1), END)
    ended = Held(START - timedelta(days=900), START)
    at = START + timedelta(days=2)
    assert good_one([second, first, ended], at) is second
    assert good_one([first, Held(START + timedelta(days=3))], at) is first
    # One of another authority may end sooner than the one before it.
    sooner = Held(START + timedelta(days=1), at + SECOND)
    assert good_one([first, sooner], at) is sooner
    assert good_one([ended], at) is None
    assert good_one([], at) is None


def test_it_is_renewed_in_time_and_said_to_end_where_it_was_not():
    one = Held()
    assert not is_to_be_renewed(one, END - RENEWED_BEFORE - SECOND)
    assert is_to_be_renewed(one, END - RENEWED_BEFORE)
    assert not is_to_be_renewed(one, END + SECOND)
    assert not is_to_be_renewed(Held(revoked_at=START), END - SECOND)
    assert RENEWED_BEFORE > NEAR_ITS_END


@pytest.mark.parametrize(
    ("at", "revoked", "words"),
    [
        (START - SECOND, None, "not valid yet"),
        (START, None, "valid"),
        (END - NEAR_ITS_END - SECOND, None, "valid"),
        (END - NEAR_ITS_END, None, "expires soon"),
        (END, None, "expires soon"),
        (END + SECOND, None, "expired"),
        (START, START, "revoked"),
        (END + SECOND, START, "revoked"),
    ],
)
def test_how_it_stands_is_said(at, revoked, words):
    assert state_words(Held(revoked_at=revoked), at) == words


def test_what_came_later_is_said_with_its_days():
    day = date(2026, 3, 4)
    assert later_words([], kind="report") == (
        "Nothing was added to or changed in this report later."
    )
    assert later_words([Later("addendum", 1, day)], kind="report") == (
        "1 later document belongs to this report: addendum 1, 4 March 2026. "
        "Ask the office for what you lack."
    )
    two = [Later("addendum", 2, day), Later("amendment", 3, date(2026, 12, 31))]
    assert later_words(two, kind="addendum") == (
        "2 later documents belong to this report: addendum 2, 4 March 2026; "
        "amendment 3, 31 December 2026. Ask the office for what you lack."
    )


def test_every_role_has_its_words_and_a_field_of_its_own():
    assert {one: one.words for one in SignedBy} == {
        SignedBy.AUTHOR: "author",
        SignedBy.REVIEWER: "reviewer",
        SignedBy.SECOND: "second pathologist",
    }
    assert {
        SignedBy.AUTHOR: ("Author", "Digital signature of the author"),
        SignedBy.REVIEWER: ("Reviewer", "Digital signature of the reviewer"),
        SignedBy.SECOND: ("SecondPathologist", "Digital signature of the second pathologist"),
    } == FIELDS
