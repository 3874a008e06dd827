"""Whether a column holds one of many keys, which go to the database as one value."""

from __future__ import annotations

from collections.abc import Iterable
from uuid import UUID

from django.db.models import BooleanField, F, Func, Value


def any_of(column: str, keys: Iterable[UUID]) -> Func:
    """Return the condition that a column is one of the keys; of hundreds it is written at once.

    With `__in` Django makes a parameter of each, which takes longer than the answer to most of
    what is asked so.
    """
    return Func(
        F(column),
        Value("{" + ",".join(map(str, keys)) + "}"),
        template="%(expressions)s::uuid[])",
        arg_joiner=" = ANY (",
        output_field=BooleanField(),
    )
