"""Kinds, states and ways of letters; when a mail may be tried."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta

import pytest

from cases.letters.rules import (
    ALLOWED_MOVES,
    LetterKind,
    LetterState,
    Way,
    is_lost,
    may_try,
    reference_of,
    wrong_day,
    wrong_in_address,
    wrong_in_sending,
)

NOW = datetime(2026, 11, 30, 15, 30, 20, tzinfo=UTC)
MADE = NOW - timedelta(hours=1)


def test_every_kind_and_way_has_its_words():
    assert len({one.words for one in LetterKind}) == 9
    assert all(one.words for one in Way)
    assert LetterKind.COVER.words == "cover letter of a release"
    assert Way.EMAIL.words == "by e-mail, from here"


def test_a_made_letter_goes_nowhere():
    assert {
        LetterState.DRAFT: {LetterState.MADE}, LetterState.MADE: frozenset(),
    } == ALLOWED_MOVES  # fmt: skip


def test_a_reference_is_made_of_case_and_number():
    assert reference_of("2026-0118", 3) == "2026-0118-L3"


@pytest.mark.parametrize(("lines", "wrong"), [(6, False), (7, True)])
def test_an_address_fits_the_window(lines, wrong):
    text = "\n \n".join(f"Line {n}" for n in range(lines))
    assert bool(wrong_in_address(text)) is wrong
    assert set(wrong_in_address(text)) <= {"address"}


MAIL = {"way": "email", "address": "pell@hale.invalid", "sent_at": None}


@pytest.mark.parametrize(
    ("entry", "fields"),
    [
        ({"way": "mail", "sent_at": NOW}, set()),
        ({"way": "mail", "sent_at": MADE.replace(second=0)}, set()),
        ({"way": "mail", "sent_at": MADE - timedelta(minutes=1)}, {"sent_at"}),
        ({"way": "mail", "sent_at": NOW + timedelta(seconds=1)}, {"sent_at"}),
        ({"way": "hand"}, {"sent_at"}),
        ({"way": "fax", "sent_at": NOW, "address": ""}, {"address"}),
        ({"way": "fax", "sent_at": NOW, "address": "555 0100"}, set()),
        (MAIL, set()),
        ({**MAIL, "sent_at": NOW}, {"sent_at"}),
        ({**MAIL, "address": ""}, {"address"}),
        ({**MAIL, "address": "pell"}, {"address"}),
        ({**MAIL, "address": "a@b.invalid, c@d.invalid"}, {"address"}),
        ({**MAIL, "address": "a@b.invalid\nBcc:c@d.invalid"}, {"address"}),
        *(
            ({**MAIL, "address": one}, {"address"})
            for one in (
                *("@", "a@", "@b.invalid", "a@b", "a@.invalid", "a@b.invalid.", "a@-b.invalid"),
                *("a@b.invalid(c", 'a"b@c.invalid', "a:b@c.invalid", "a@[1", ".a@b.invalid"),
                *("a..b@c.invalid", "\xe4@b.invalid", "a@b.invalid\x7f", f"a@{'x' * 70}.invalid"),
                *("\ud800@b.invalid", "a@\u202eb.invalid", "a@b.invalid:25", "a@b@c.invalid"),
            )
        ),
        ({**MAIL, "address": "a.b+c-d_e'f@b-c.d.invalid"}, set()),
        ({**MAIL, "address": "a@ex\xe4mple.invalid"}, set()),
    ],
)
def test_what_cannot_be_so_of_a_sending(entry, fields):
    assert set(wrong_in_sending(entry, now=NOW, made_at=MADE)) == fields


def test_an_office_without_a_mail_server_mails_nothing():
    assert set(wrong_in_sending(MAIL, now=NOW, made_at=MADE, can_mail=False)) == {"way"}
    entry = {"way": "mail", "sent_at": NOW}
    assert wrong_in_sending(entry, now=NOW, made_at=MADE, can_mail=False) == {}


AGAIN = timedelta(minutes=15)


@pytest.mark.parametrize(
    ("outcome", "tries", "tried_at", "may"),
    [
        ("", 0, None, True),
        ("", 1, NOW - AGAIN, True),
        ("", 1, NOW - AGAIN + timedelta(seconds=1), False),
        ("", 1, NOW + AGAIN, True),
        ("", 3, NOW - AGAIN, True),
        ("", 4, NOW - AGAIN, False),
        ("trying", 1, NOW - AGAIN, False),
        ("sent", 1, NOW - AGAIN, False),
        ("failed", 1, NOW - AGAIN, False),
        ("unknown", 1, NOW - AGAIN, False),
    ],
)
def test_only_what_did_not_go_out_is_tried_again(outcome, tries, tried_at, may):
    assert may_try(outcome, tries, tried_at, NOW) is may


def test_a_mail_is_lost_when_nobody_said_how_it_went():
    assert is_lost("trying", NOW - AGAIN, NOW)
    assert not is_lost("trying", NOW - AGAIN + timedelta(seconds=1), NOW)
    assert not is_lost("trying", None, NOW)
    assert not is_lost("", NOW - AGAIN, NOW)


def test_a_letter_is_dated_near_today():
    day = date(2026, 11, 30)
    assert wrong_day(day - timedelta(days=60), day) == wrong_day(None, day) == {}
    assert set(wrong_day(day + timedelta(days=61), day)) == {"dated_on"}
