"""Rows as lines of CSV that no spreadsheet takes for formulas: every CSV of the office."""

from __future__ import annotations

import csv
from collections.abc import Iterable, Iterator

# A spreadsheet takes a cell that begins so for a formula.
FORMULA_STARTS = ("=", "+", "-", "@", "\t", "\r")


class _Line:
    """What the CSV writer writes to: hands each line back."""

    def write(self, line: str) -> str:
        return line


def csv_lines(rows: Iterable[list[str]]) -> Iterator[str]:
    """Yield each row as a line (RFC 4180); a cell that would be a formula gets an apostrophe."""
    writer = csv.writer(_Line())
    for row in rows:
        yield writer.writerow(
            [f"'{cell}" if cell.startswith(FORMULA_STARTS) else cell for cell in row]
        )
