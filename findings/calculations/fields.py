"""Input fields of the methods: kind, unit, range, and the check that names the wrong field.

A field takes a plain value (as it comes out of JSON or a form) and gives back a checked one, or
raises `BadInput` with the field's name and a sentence for the person. Nothing is guessed: a
number sent as text is refused, and so is a field that the method does not have.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from enum import StrEnum
from typing import Any

LONGEST_LIST = 5000
LONGEST_TEXT = 10_000


class BadInput(ValueError):
    """An input that cannot be used: which field, and why in one sentence."""

    code = "bad_input"

    def __init__(self, field: str | None, message: str) -> None:
        super().__init__(f"{field}: {message}" if field else message)
        self.field = field
        self.message = message


class Kind(StrEnum):
    """What a field may hold."""

    NUMBER = "number"
    NUMBER_OR_RANGE = "number or [low, high]"
    NUMBERS = "list of numbers"
    INTEGER = "whole number"
    FLAG = "true or false"
    TEXT = "text"
    TEXT_OR_NUMBER = "text or number"
    TEXTS = "list of texts"
    TEXT_OR_TEXTS = "text or list of texts"
    GROUPS = "list of lists of texts"
    CHOICE = "one of the named choices"
    DATE = "date (YYYY-MM-DD)"
    DATES = "list of dates (YYYY-MM-DD)"
    MOMENT = "date and time (ISO 8601)"
    POINTS = "list of [x, y] points"
    NUMBER_OR_POINTS = "number or list of [x, y] points"
    FRACTIONS = "object of name and fraction"
    OBJECT = "object"
    OBJECTS = "list of objects"


@dataclass(frozen=True)
class Field:
    """One input field of a method.

    `minimum` and `maximum` are inclusive, `above` is an exclusive lower limit; for a text,
    `maximum` is its length. They are the limits of what can be a true value at all; the narrower
    range of a method is its own matter and leads to a warning or a refusal, not to an error.
    """

    name: str
    kind: Kind
    help: str
    unit: str = ""
    required: bool = False
    nullable: bool = False
    minimum: float | None = None
    maximum: float | None = None
    above: float | None = None
    choices: tuple[str, ...] = ()
    parts: tuple[Field, ...] = ()

    def describe(self) -> dict[str, Any]:
        """The field as plain values, for lists, forms and documentation."""
        return {
            "name": self.name,
            "type": self.kind.value,
            "unit": self.unit,
            "required": self.required,
            "minimum": self.above if self.minimum is None else self.minimum,
            "minimum_is_exclusive": self.minimum is None and self.above is not None,
            "maximum": self.maximum,
            "choices": list(self.choices),
            "help": self.help,
            "fields": [part.describe() for part in self.parts],
        }


def _number(field: Field, value: object, name: str) -> float:
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise BadInput(name, "must be a number")
    try:
        number = float(value)
    except OverflowError:
        raise BadInput(name, "is too large a number") from None
    if not math.isfinite(number):
        raise BadInput(name, "must be a finite number")
    if field.minimum is not None and number < field.minimum:
        raise BadInput(name, f"must be at least {field.minimum:g} {field.unit}".rstrip())
    if field.above is not None and number <= field.above:
        raise BadInput(name, f"must be more than {field.above:g} {field.unit}".rstrip())
    if field.maximum is not None and number > field.maximum:
        raise BadInput(name, f"must be at most {field.maximum:g} {field.unit}".rstrip())
    return number


def _integer(field: Field, value: object, name: str) -> int:
    number = _number(field, value, name)
    if number != int(number):
        raise BadInput(name, "must be a whole number")
    return int(number)


def _number_or_range(field: Field, value: object, name: str) -> float | tuple[float, float]:
    if not isinstance(value, list):
        return _number(field, value, name)
    if len(value) != 2:
        raise BadInput(name, "must be one number, or a list of the lowest and the highest")
    low, high = (_number(field, part, name) for part in value)
    if low > high:
        raise BadInput(name, "the lowest must not be above the highest")
    return (low, high)


def _flag(field: Field, value: object, name: str) -> bool:
    if not isinstance(value, bool):
        raise BadInput(name, "must be true or false")
    return value


def _text(field: Field, value: object, name: str) -> str:
    if not isinstance(value, str):
        raise BadInput(name, "must be text")
    longest = LONGEST_TEXT if field.maximum is None else int(field.maximum)
    if len(value) > longest:
        raise BadInput(name, f"must not be longer than {longest} characters")
    try:
        value.encode()
    except UnicodeEncodeError:
        raise BadInput(name, "must be valid Unicode text") from None
    if "\x00" in value:
        raise BadInput(name, "must not contain a null character")
    return value


def _text_or_number(field: Field, value: object, name: str) -> str:
    if isinstance(value, int | float) and not isinstance(value, bool):
        return f"{_number(field, value, name):g}"
    return _text(field, value, name)


def _list(value: object, name: str) -> list[Any]:
    if not isinstance(value, list):
        raise BadInput(name, "must be a list")
    if len(value) > LONGEST_LIST:
        raise BadInput(name, f"must not have more than {LONGEST_LIST} entries")
    return value


def _texts(field: Field, value: object, name: str) -> list[str]:
    return [_text(field, part, name) for part in _list(value, name)]


def _text_or_texts(field: Field, value: object, name: str) -> str | list[str]:
    return _texts(field, value, name) if isinstance(value, list) else _text(field, value, name)


def _groups(field: Field, value: object, name: str) -> list[list[str]]:
    return [_texts(field, part, name) for part in _list(value, name)]


def _choice(field: Field, value: object, name: str) -> str:
    text = _text(field, value, name)
    by_folded = {choice.casefold(): choice for choice in field.choices}
    if text.casefold() not in by_folded:
        raise BadInput(name, "must be one of: " + ", ".join(field.choices))
    return by_folded[text.casefold()]


def _date(field: Field, value: object, name: str) -> date:
    try:
        return date.fromisoformat(_text(field, value, name))
    except ValueError as error:
        if isinstance(error, BadInput):
            raise
        raise BadInput(name, "must be a date like 2026-06-05") from None


def _dates(field: Field, value: object, name: str) -> list[date]:
    return [_date(field, part, name) for part in _list(value, name)]


def _moment(field: Field, value: object, name: str) -> datetime:
    try:
        return datetime.fromisoformat(_text(field, value, name))
    except ValueError as error:
        if isinstance(error, BadInput):
            raise
        raise BadInput(name, "must be a date and time like 2026-06-05T14:30") from None


def _points(field: Field, value: object, name: str) -> list[tuple[float, float]]:
    points = []
    for part in _list(value, name):
        pair = _list(part, name)
        if len(pair) != 2:
            raise BadInput(name, "each point must be two numbers")
        points.append((_number(field, pair[0], name), _number(field, pair[1], name)))
    return points


def _number_or_points(field: Field, value: object, name: str) -> float | list[tuple[float, float]]:
    return _points(field, value, name) if isinstance(value, list) else _number(field, value, name)


def _numbers(field: Field, value: object, name: str) -> list[float]:
    return [_number(field, part, name) for part in _list(value, name)]


def _fractions(field: Field, value: object, name: str) -> dict[str, float]:
    if not isinstance(value, dict):
        raise BadInput(name, "must be an object of names and fractions")
    return {key: _number(field, part, f"{name}.{key}") for key, part in value.items()}


def _object(field: Field, value: object, name: str) -> dict[str, Any]:
    if not isinstance(value, dict):
        raise BadInput(name, "must be an object")
    return check(field.parts, value, prefix=f"{name}.")


def _objects(field: Field, value: object, name: str) -> list[dict[str, Any]]:
    return [
        _object(field, part, f"{name}[{number}]") for number, part in enumerate(_list(value, name))
    ]


_CHECKS: dict[Kind, Callable[[Field, object, str], Any]] = {
    Kind.NUMBER: _number,
    Kind.NUMBER_OR_RANGE: _number_or_range,
    Kind.NUMBERS: _numbers,
    Kind.INTEGER: _integer,
    Kind.FLAG: _flag,
    Kind.TEXT: _text,
    Kind.TEXT_OR_NUMBER: _text_or_number,
    Kind.TEXTS: _texts,
    Kind.TEXT_OR_TEXTS: _text_or_texts,
    Kind.GROUPS: _groups,
    Kind.CHOICE: _choice,
    Kind.DATE: _date,
    Kind.DATES: _dates,
    Kind.MOMENT: _moment,
    Kind.POINTS: _points,
    Kind.NUMBER_OR_POINTS: _number_or_points,
    Kind.FRACTIONS: _fractions,
    Kind.OBJECT: _object,
    Kind.OBJECTS: _objects,
}


def check(
    fields: tuple[Field, ...], given: Mapping[str, object], *, prefix: str = ""
) -> dict[str, Any]:
    """The checked values of all given fields; raises `BadInput` for the first wrong one.

    A field sent as null counts as not sent, except where null means something (`nullable`).
    """
    known = {field.name: field for field in fields}
    for name in given:
        if name not in known:
            raise BadInput(f"{prefix}{name}", "is not a field of this method")
    checked: dict[str, Any] = {}
    for field in fields:
        value = given.get(field.name)
        if value is not None:
            checked[field.name] = _CHECKS[field.kind](field, value, f"{prefix}{field.name}")
        elif field.nullable and field.name in given:
            checked[field.name] = None
        elif field.required:
            raise BadInput(f"{prefix}{field.name}", "is required")
    return checked


@dataclass(frozen=True)
class Inputs:
    """Checked values of one call, read by name and kind."""

    values: Mapping[str, Any]

    def has(self, name: str) -> bool:
        """Whether the field was given a value."""
        return self.values.get(name) is not None

    def number(self, name: str, default: float | None = None) -> float:
        """A number; `BadInput` when it was neither given nor has a default."""
        value = self.values.get(name, default)
        if value is None:
            raise BadInput(name, "is required")
        return float(value)

    def text(self, name: str, default: str | None = None) -> str:
        """A text or choice; `BadInput` when it was neither given nor has a default."""
        value = self.values.get(name, default)
        if value is None:
            raise BadInput(name, "is required")
        return str(value)

    def flag(self, name: str, default: bool = False) -> bool:
        """A yes or no."""
        return bool(self.values.get(name, default))

    def raw(self, name: str) -> Any:
        """The checked value as it is; `BadInput` when it was not given."""
        value = self.values.get(name)
        if value is None:
            raise BadInput(name, "is required")
        return value
