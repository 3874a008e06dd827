"""The characters of what is kept: one cleaning, whichever way a text came in.

A line stays one line, and no mark turns the direction of what is written after it: a file name
or a person's name can't be made to look like another one in a list, a report or a custody record.
"""

from __future__ import annotations

import unicodedata
from typing import Any, TypeVar

from django.db import models

from me_office.entries import Entry

ModelT = TypeVar("ModelT", bound=models.Model)

# Unicode Standard Annex 9 (bidirectional algorithm), table 3 and section 2: marks, embeddings,
# overrides and isolates. The letters of every script keep their own direction without them.
TURNS = frozenset("\u061c\u200e\u200f\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069")
BREAKS = frozenset("\n\r\t\x0b\x0c\x1c\x1d\x1e\x85\u2028\u2029")


def one_line(text: str) -> str:
    """Return a text as one line: breaks are blanks, and what cannot be seen is gone."""
    return " ".join("".join(" " if sign in BREAKS else _seen(sign) for sign in text).split())


def lines(text: str) -> str:
    """Return a text with its lines, without what cannot be seen."""
    text = text.replace("\r\n", "\n").replace("\r", "\n")
    return "".join(sign if sign in "\n\t" else _seen(sign) for sign in text)


def _seen(sign: str) -> str:
    if sign in TURNS or (unicodedata.category(sign) in {"Cc", "Cs"}):
        return ""
    return sign


def as_kept(field: models.Field[Any, Any], value: Any) -> Any:
    """Return what a field of a record keeps of a value; choices and keys stay as they are."""
    if not isinstance(value, str) or field.choices or field.primary_key:
        return value
    if isinstance(field, models.TextField):
        return lines(value)
    return one_line(value) if type(field) is models.CharField else value


def entry_as_kept(model: type[models.Model], entry: Entry) -> dict[str, Any]:
    """Return what was entered as the fields of a model keep it: to compare it, or to quote it."""
    return {name: as_kept(model._meta.get_field(name), value) for name, value in entry.items()}  # type: ignore[arg-type]


def tidy(record: ModelT) -> ModelT:
    """Clean the texts of a record, in place."""
    for field in record._meta.concrete_fields:
        value = getattr(record, field.attname)
        if (kept := as_kept(field, value)) != value:
            setattr(record, field.attname, kept)
    return record
