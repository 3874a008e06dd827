"""Published worked examples, each beside the document and the place where it was read.

`expected` is the last day as the source has it, or a day it says was late (`check` "before").
`ours` tells which part the source does not give; `words` is what it says, shortened, with
what stands in square brackets told by us. An example "weekday" gives weekdays alone.
"""

from __future__ import annotations

import json
from datetime import date
from pathlib import Path

import pytest

from findings.calculations.counting import Closure, Direction, Period, Unit, count
from tests.calculations.counted_rules import RULES

EXAMPLES = json.loads(Path(__file__).with_name("counted_examples.json").read_text(encoding="utf-8"))
DATED = [row for row in EXAMPLES if not row["id"].startswith("weekday-")]
# What the source says is only that a day was late, that a holiday is none, or how far two days lie
# apart: these are kept, and not counted among the thirty.
LESS = {"federal-7", "tax-9", "tax-11", "tax-13", "california-2"}


def closure(row: dict[str, str]) -> Closure:
    return Closure(
        date.fromisoformat(row["first"]), date.fromisoformat(row["last"]), "closed by order",
        is_holiday=row["kind"] != "closed", is_local=row["kind"] == "local",
    )  # fmt: skip


@pytest.mark.parametrize("row", EXAMPLES, ids=lambda row: row["id"])
def test_a_published_example_comes_out_as_published(row):
    period = Period(
        row["period"], Unit(row.get("unit", "days")), Direction(row.get("direction", "after"))
    )
    found = count(
        RULES[row["rule"]], date.fromisoformat(row["event"]), period, way=row.get("way", ""),
        closures=[closure(one) for one in row.get("closures", [])],
    )  # fmt: skip
    expected = date.fromisoformat(row["expected"])
    assert found.end is not None, found.refused
    if row.get("check") == "before":
        assert found.end < expected, row["address"]
    else:
        assert found.end == expected, row["address"]


def test_thirty_of_them_give_both_days_and_each_names_where_it_was_read():
    assert len({row["id"] for row in EXAMPLES}) == len(EXAMPLES)
    assert len({row["id"] for row in DATED} - LESS) >= 30
    for row in EXAMPLES:
        assert row["words"] and row["source"] and row["place"], row["id"]
        assert row["address"].startswith(("https://", "http://")), row["id"]
        assert date.fromisoformat(row["read"]) >= date(2026, 11, 30), row["id"]
    for rule in {row["rule"] for row in EXAMPLES}:
        assert RULES[rule].source
