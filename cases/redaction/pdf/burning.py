"""The redacted copy of a PDF: written anew, with nothing below the bars."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from cases.redaction.pdf.limits import Unfit


@dataclass(frozen=True)
class Burned:
    """A redacted copy, what was looked for in it, and hidden words that it still shows."""

    content: bytes
    pages: int
    checked: dict[str, Any]
    elsewhere: list[dict[str, Any]]
    software: str


def burned(content: bytes, marks: Sequence[Mapping[str, Any]], *, name: str) -> Burned:
    """Return the redacted copy of a PDF. Raises Unfit."""
    raise Unfit("Copies are not made yet.")
