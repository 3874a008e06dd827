"""What may be kept, decided without database, web and clock."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import UTC, datetime

from findings.calculations.fields import BadInput
from findings.calculations.registry import UnknownMethod, calculate, find
from findings.calculations.result import Plain, Result

EARLIEST = datetime(1900, 1, 1, tzinfo=UTC)
# Hours of the formula that a refusing method still carries to be checked, never as an estimate.
NOT_AN_ESTIMATE = "t_h"


class Unusable(ValueError):
    """An input that a method cannot use: field and sentence."""

    def __init__(self, field: str | None, message: str) -> None:
        super().__init__(message)
        self.field = field
        self.message = message


def sentence(message: str) -> str:
    """A method's complaint as a sentence: 'must be a number' gives 'This must be a number.'"""
    start = message.split(" ", 1)[0]
    words = f"This {message}" if start in {"must", "is", "needs", "leads", "names"} else message
    return words[:1].upper() + words[1:].rstrip(".") + "."


def run(method: str, inputs: Mapping[str, Plain]) -> Result:
    """Compute. Raises Unusable."""
    try:
        find(method)
    except UnknownMethod as error:
        raise Unusable("method", error.message) from None
    try:
        return calculate(method, inputs)
    except BadInput as error:
        raise Unusable(error.field, sentence(error.message)) from None


def check_measured_at(measured_at: datetime | None, now: datetime) -> None:
    """Refuse a measurement that has not happened yet or long before anybody. Raises Unusable."""
    if measured_at is None:
        return
    if measured_at > now:
        raise Unusable("measured_at", "This time is in the future.")
    if measured_at < EARLIEST:
        raise Unusable("measured_at", "This time is too far in the past.")


def without_hours_that_are_no_estimate(result: Mapping[str, Plain]) -> dict[str, Plain]:
    """A result as it may be shown: no hours of the formula where the method refuses them."""
    refused = result.get("reason") is not None
    shown = {
        name: value for name, value in result.items() if not (refused and name == NOT_AN_ESTIMATE)
    }
    rows = shown.get("formulae")
    if isinstance(rows, list):
        shown["formulae"] = [
            {name: value for name, value in row.items() if name != NOT_AN_ESTIMATE}
            if isinstance(row, dict) and row.get("estimate") is None
            else row
            for row in rows
        ]
    return shown
