"""Fees for what is copied and sent: amounts, lines and their sum. No database, no clock."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from decimal import ROUND_HALF_UP, Decimal

from me_office.entries import Entry
from me_office.statements import COMMON_PRACTICE, statement

UNITS = {
    "page": ("a page", "pages"),
    "file": ("a file", "files"),
    "certified": ("a certified copy", "certified copies"),
    "hour": ("an hour of search", "hours of search"),
    "flat": ("flat", "flat"),
}
CENT = Decimal("0.01")
SIGNS = {"USD": "$"}
FEE_LAW = statement(
    "court.fee-law",
    "What may be charged, to whom and for what is governed by local law. Check with counsel.",
    where="Court, a request",
    source=COMMON_PRACTICE,
)


@dataclass(frozen=True)
class Line:
    """A line of an invoice, as it is printed and kept."""

    words: str
    unit: str
    quantity: Decimal
    each: Decimal
    amount: Decimal

    def kept(self) -> dict[str, str]:
        """Return it as plain values, each number as it is printed."""
        return {
            "words": self.words,
            "unit": self.unit,
            "quantity": plain(self.quantity),
            "each": f"{self.each:.2f}",
            "amount": f"{self.amount:.2f}",
        }


def plain(number: Decimal) -> str:
    """Return a number without zeros at its end: 300, 1.5."""
    return f"{number.normalize():f}"


def line(words: str, unit: str, quantity: Decimal, each: Decimal) -> Line:
    """Return a line with its amount, rounded to the cent, half a cent upward."""
    amount = (quantity * each).quantize(CENT, rounding=ROUND_HALF_UP)
    return Line(words, unit, quantity, each, amount)


def total(lines: Iterable[Line]) -> Decimal:
    """Return the sum of the lines."""
    return sum((one.amount for one in lines), Decimal("0.00"))


def money(amount: Decimal, currency: str) -> str:
    """Say an amount: $1,064.20; 64.20 CAD."""
    sign = SIGNS.get(currency)
    return f"{sign}{amount:,.2f}" if sign else f"{amount:,.2f} {currency}"


def short_words(lines: Iterable[Mapping[str, str]]) -> str:
    """Say in short what an invoice is for: 300 pages, 1 certified copy."""
    said = []
    for one in lines:
        single, many = UNITS[one["unit"]]
        if one["unit"] == "flat":
            said.append(one["words"])
        else:
            word = single.split(" ", 1)[1] if one["quantity"] == "1" else many
            said.append(f"{one['quantity']} {word}")
    return ", ".join(said)


def invoice_number(year: int, running: int) -> str:
    """Return how an invoice is called: F-2026-0001."""
    return f"F-{year}-{running:04d}"


def wrong_in_fee(entry: Entry, today: date) -> dict[str, list[str]]:
    """Return, by field, what cannot be so in a fee as it was entered."""
    amount = entry.get("amount")
    if amount is not None and amount < 0:
        return {"amount": ["A fee is not less than nothing."]}
    return {}


def wrong_in_quantity(unit: str, quantity: Decimal) -> str:
    """Return what is wrong with how many there are, or nothing."""
    if quantity <= 0:
        return "Enter more than nothing, or leave it empty."
    if unit not in {"hour"} and quantity != quantity.to_integral_value():
        return "Enter a whole number."
    if quantity > 1_000_000:
        return "Enter at most a million."
    return ""


def wrong_in_payment(entry: Entry, today: date) -> dict[str, list[str]]:
    """Return, by field, what cannot be so in a payment."""
    on = entry.get("paid_on")
    return {"paid_on": ["This date is in the future."]} if on and on > today else {}
