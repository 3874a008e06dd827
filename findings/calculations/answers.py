"""Methods by JSON text: what the `calculate` command says, without Django.

Exit status 0 for a result and for a refusal (which carries its `reason`), 2 for an input that
cannot be used, as an object with `error` and `field`.
"""

from __future__ import annotations

import json

from findings.calculations.fields import BadInput
from findings.calculations.registry import METHODS, NOT_BUILT, UnknownMethod, find
from findings.calculations.result import Plain

OK, BAD_INPUT = 0, 2
LONGEST_INPUT = 5_000_000


def _text(answer: dict[str, Plain]) -> str:
    return json.dumps(answer, allow_nan=False, indent=2)


def error_text(field: str | None, message: str) -> str:
    """A JSON error with the field that is wrong."""
    return _text({"error": message, "field": field, "code": BadInput.code})


def _given(text: str) -> dict[str, Plain]:
    if len(text) > LONGEST_INPUT:
        raise BadInput("input", "is too long")
    try:
        given = json.loads(text)
    except (ValueError, RecursionError):
        raise BadInput("input", "must be a JSON object on standard input") from None
    if not isinstance(given, dict):
        raise BadInput("input", "must be a JSON object")
    return given


def answer(method_name: str, text: str) -> tuple[int, str]:
    """Exit status and JSON text for one method and its JSON input."""
    try:
        return OK, _text(find(method_name).run(_given(text)).as_plain())
    except UnknownMethod as error:
        return BAD_INPUT, error_text("METHOD", error.message)
    except BadInput as error:
        return BAD_INPUT, error_text(error.field, error.message)


def listing() -> str:
    """All methods with their fields, as JSON text."""
    methods: list[Plain] = [method.describe() for method in METHODS]
    not_built: dict[str, Plain] = dict(NOT_BUILT)
    return _text({"methods": methods, "not_built": not_built})
