"""Amounts, lines and sums of fees."""

from __future__ import annotations

from datetime import date
from decimal import Decimal

import pytest

from cases.court.fee_rules import (
    Line,
    invoice_number,
    line,
    money,
    plain,
    short_words,
    total,
    wrong_in_fee,
    wrong_in_payment,
    wrong_in_quantity,
)

DAY = date(2026, 11, 25)


@pytest.mark.parametrize(
    ("quantity", "each", "amount"),
    [
        ("300", "0.15", "45.00"),
        ("107", "0.18", "19.26"),
        # Half a cent goes upward.
        ("1.5", "0.35", "0.53"),
        ("0.5", "0.01", "0.01"),
        ("1", "25", "25.00"),
    ],
)
def test_a_line_is_rounded_to_the_cent(quantity, each, amount):
    made = line("Copy", "page", Decimal(quantity), Decimal(each))
    assert made.amount == Decimal(amount)
    assert str(made.amount) == amount
    assert made == Line("Copy", "page", Decimal(quantity), Decimal(each), Decimal(amount))
    assert made.kept() == {
        "words": "Copy",
        "unit": "page",
        "quantity": quantity,
        "each": f"{Decimal(each):.2f}",
        "amount": amount,
    }


def test_lines_are_added_and_said():
    lines = [
        line("Copy", "page", Decimal(300), Decimal("0.15")),
        line("Certified copy", "certified", Decimal(1), Decimal(12)),
        line("Search", "hour", Decimal("1.50"), Decimal(20)),
        line("Postage", "flat", Decimal(1), Decimal("7.2")),
    ]
    assert total(lines) == Decimal("94.20")
    assert str(total([])) == "0.00"
    assert short_words([one.kept() for one in lines]) == (
        "300 pages, 1 certified copy, 1.5 hours of search, Postage"
    )
    assert (plain(Decimal("300")), plain(Decimal("1.50"))) == ("300", "1.5")


def test_amounts_and_numbers_in_words():
    assert money(Decimal("1064.2"), "USD") == "$1,064.20"
    assert money(Decimal("64.20"), "CAD") == "64.20 CAD"
    assert invoice_number(2026, 7) == "F-2026-0007"


@pytest.mark.parametrize(
    ("unit", "quantity", "wrong"),
    [
        ("page", "1", ""),
        ("page", "0", "Enter more than nothing, or leave it empty."),
        ("hour", "-1", "Enter more than nothing, or leave it empty."),
        ("page", "1.5", "Enter a whole number."),
        ("hour", "1.5", ""),
        ("page", "1000000", ""),
        ("page", "1000001", "Enter at most a million."),
    ],
)
def test_how_many_there_are_is_a_number_that_can_be(unit, quantity, wrong):
    assert wrong_in_quantity(unit, Decimal(quantity)) == wrong


def test_a_fee_is_not_negative_and_a_payment_not_ahead():
    assert wrong_in_fee({"amount": Decimal("-0.01")}, DAY) == {
        "amount": ["A fee is not less than nothing."]
    }
    assert wrong_in_fee({"amount": Decimal(0)}, DAY) == wrong_in_fee({}, DAY) == {}
    ahead = {"paid_on": ["This date is in the future."]}
    assert wrong_in_payment({"paid_on": date(2026, 11, 26)}, DAY) == ahead
    assert wrong_in_payment({"paid_on": DAY}, DAY) == wrong_in_payment({}, DAY) == {}
