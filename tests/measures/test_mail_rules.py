"""When a daily mail goes out, where to, and what it says and does not say."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from cases.measures.mail_rules import (
    MailRow,
    MailSection,
    address_of_page,
    count_of,
    is_due,
    letter_of,
    may_try,
    subject_of,
    wrong_address,
)

NOW = datetime(2026, 11, 29, 12, tzinfo=UTC)
NEW_YORK = ZoneInfo("America/New_York")


@pytest.mark.parametrize(
    ("moment", "due"),
    [
        (datetime(2026, 11, 29, 11, 59, tzinfo=UTC), False),
        (datetime(2026, 11, 29, 12, 0, tzinfo=UTC), True),
        # In summer seven o'clock comes an hour earlier in UTC.
        (datetime(2026, 7, 29, 10, 59, tzinfo=UTC), False),
        (datetime(2026, 7, 29, 11, 0, tzinfo=UTC), True),
        (datetime(2026, 11, 30, 4, 59, tzinfo=UTC), True),
        (datetime(2026, 11, 30, 5, 0, tzinfo=UTC), False),
    ],
)
def test_the_hour_is_the_office_s(moment, due):
    assert is_due(moment.astimezone(NEW_YORK), 7) is due


@pytest.mark.parametrize(
    ("outcome", "tries", "minutes", "may"),
    [
        ("", 0, None, True), ("sent", 1, 60, False), ("nothing", 1, 60, False),
        ("", 1, 14, False), ("", 1, 15, True), ("", 3, 15, True), ("", 4, 600, False),
        # The clock was set back since: neither for ever, nor at once.
        ("", 1, -14, False), ("", 1, -15, True),
    ],
)  # fmt: skip
def test_a_mail_is_tried_again_only_where_it_failed_and_not_at_once(outcome, tries, minutes, may):
    tried = None if minutes is None else NOW - timedelta(minutes=minutes)
    assert may_try(outcome=outcome, tries=tries, tried_at=tried, now=NOW) is may


@pytest.mark.parametrize(
    ("address", "wanted", "domains", "wrong"),
    [
        ("", False, [], ""), ("", True, [], "Give the address to which it is sent."),
        ("a@tarn.invalid", True, [], ""), ("a@TARN.invalid", True, ["tarn.Invalid"], ""),
        ("a@sub.tarn.invalid", True, ["tarn.invalid"],
         "Only an address of the office: one that ends in @tarn.invalid."),
        ("a@b.invalid", False, ["y.invalid", "x.invalid"],
         "Only an address of the office: one that ends in @x.invalid or y.invalid."),
    ],
)  # fmt: skip
def test_which_addresses_are_taken(address, wanted, domains, wrong):
    assert wrong_address(address, wanted=wanted, domains=domains) == wrong


def test_the_address_of_a_page():
    assert address_of_page("/cases/1/", "https://a.invalid/") == "https://a.invalid/cases/1/"
    assert address_of_page("/cases/1/", "") == "/cases/1/"


SECTIONS = [
    MailSection("Sent back to you", (MailRow("2026-0004", "since 14 Nov", "/cases/4/", False),)),
    MailSection(
        "Due", (MailRow("2026-0006", "", "/cases/6/", True), MailRow("7", "x", "/7/", False)), True
    ),
]


def test_the_mail_as_it_reads():
    assert count_of(SECTIONS) == (3, 1)
    assert subject_of("Tarn County\nMedical", SECTIONS) == (
        "Tarn County Medical: 3 things are waiting for you, 1 pressing"
    )
    assert subject_of("Tarn", SECTIONS[:1]) == "Tarn: 1 thing is waiting for you"
    said = letter_of(
        SECTIONS, day=date(2026, 3, 1), office_lines=["Sent back: 2"], own_page="/own/"
    )
    assert said == (
        "Sunday, 1 March 2026. 3 things are waiting for you; 1 pressing.\n\n"
        "Sent back to you (1)\n- 2026-0004, since 14 Nov\n  /cases/4/\n\n"
        "Due (2 or more)\n! 2026-0006 (pressing)\n  /cases/6/\n- 7, x\n  /7/\n\n"
        "In the office\n  Sent back: 2\n\n"
        "Names are left out on purpose. The links ask you to sign in.\n"
        "You chose this mail. To change or stop it: /own/\n"
    )
    short = letter_of(SECTIONS[:1], day=date(2026, 3, 1), office_lines=[], own_page="/own/")
    assert short.startswith("Sunday, 1 March 2026. 1 thing is waiting for you.\n")
    assert "In the office" not in short
