"""The characters of what is kept: one cleaning, whichever way a text came in.

A line stays one line, and no mark turns the direction of what is written after it: a file name
or a person's name can't be made to look like another one in a list, a report or a custody record.
"""

from __future__ import annotations

import unicodedata
from typing import TypeVar

from django.db import models

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


def tidy(record: ModelT) -> ModelT:
    """Clean the texts of a record, in place; choices and keys stay as they are."""
    for field in record._meta.concrete_fields:
        value = getattr(record, field.attname)
        if not isinstance(value, str) or field.choices or field.primary_key:
            continue
        if isinstance(field, models.TextField):
            setattr(record, field.attname, lines(value))
        elif type(field) is models.CharField:
            setattr(record, field.attname, one_line(value))
    return record
