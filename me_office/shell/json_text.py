"""JSON that somebody sent: of a depth that can be read, and of characters that can be kept."""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import IO, Any

from django.conf import settings
from rest_framework.exceptions import APIException, ParseError
from rest_framework.parsers import JSONParser

# Marks of a finding stand four levels deep; nothing of the office goes deeper.
MOST_DEPTH = 32
# The largest whole number of the database.
LARGEST_NUMBER = 2**63 - 1


class TooLarge(APIException):
    """The body is larger than any that the office reads."""

    status_code = 413
    default_code = "too_large"
    default_detail = "This is more than the office reads in one request."


def read_json(text: str | bytes) -> Any:
    """Return what a JSON text says. Raises ValueError, in words, for what can't be kept.

    Refused are NaN and infinity (RFC 8259, section 6), depth, numbers no column holds, and the two
    kinds of characters that PostgreSQL cannot store: NUL and halves of a surrogate pair.
    """
    try:
        said = json.loads(text, parse_constant=_no_constant, parse_int=_whole_number)
    except RecursionError as error:
        raise ValueError("This is nested too deeply.") from error
    except UnicodeDecodeError as error:
        raise ValueError("This is not UTF-8.") from error
    check_kept(said)
    return said


def check_kept(said: Any) -> None:
    """Look through what was read, level by level. Raises ValueError, in words."""
    level, depth = [said], 0
    while level:
        if depth > MOST_DEPTH:
            raise ValueError("This is nested too deeply.")
        below: list[Any] = []
        for value in level:
            if isinstance(value, str):
                _check_text(value)
            elif isinstance(value, float) and value in {float("inf"), float("-inf")}:
                raise ValueError("A number is too large.")
            elif isinstance(value, Mapping):
                below += [*value.keys(), *value.values()]
            elif isinstance(value, list):
                below += value
        level, depth = below, depth + 1


def _check_text(text: str) -> None:
    try:
        kept = b"\x00" not in text.encode()
    except UnicodeEncodeError:  # half of a surrogate pair, the one thing that UTF-8 can't write
        kept = False
    if not kept:
        raise ValueError("A text holds a character that cannot be kept.")


def _no_constant(name: str) -> None:
    raise ValueError(f"{name} is no number.")


def _whole_number(digits: str) -> int:
    # Before it is read: Python takes its time over a number of a million digits.
    if len(digits) > 20 or not -LARGEST_NUMBER <= (number := int(digits)) <= LARGEST_NUMBER:
        raise ValueError("A number is too large.")
    return number


class OfficeJSONParser(JSONParser):
    """Reads the body of an API request."""

    def parse(
        self, stream: IO[Any], media_type: str | None = None, parser_context: Any = None
    ) -> Any:
        """Return what the body says. Raises ParseError, TooLarge."""
        most = settings.DATA_UPLOAD_MAX_MEMORY_SIZE
        body = stream.read(most + 1)
        if len(body) > most:
            raise TooLarge
        try:
            return read_json(body)
        except ValueError as error:
            raise ParseError(_words(error)) from error


def _words(error: ValueError) -> str:
    if isinstance(error, json.JSONDecodeError):
        return f"This is not JSON: {error.msg}, line {error.lineno}, column {error.colno}."
    return str(error)
