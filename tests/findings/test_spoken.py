"""A mark in a sentence: its kind, its place with its side, its distances; nothing runs together."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from findings.chart.placing import Placed, placed_by_mark
from findings.chart.spoken import kind_word, mark_sentence, place_parts
from findings.rules import MarkKind

# The browser's words are held by the same table in tests/browser/chart/test_hearing.py.
ROWS: list[dict[str, Any]] = json.loads((Path(__file__).parent / "spoken.json").read_text())


def placed(row: dict[str, Any]) -> Placed:
    return Placed(
        surface_point=(0.0, 0.0, 0.0) if row["surface"] else None,
        region="",
        place=row["place"],
        above_heel_cm=row["above_heel_cm"],
        below_top_cm=None,
        from_midline_cm=row["from_midline_cm"],
        midline=row["midline"],
        wording="",
    )


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row["said"][:40])
def test_a_mark_is_said_in_one_sentence(row: dict[str, Any]) -> None:
    said = mark_sentence(row["kind"], row["end"], placed(row), row["length_cm"])
    assert said == row["said"]


def test_every_kind_of_mark_has_a_word() -> None:
    words = [kind_word(kind, end) for kind in MarkKind for end in ("", "entrance", "exit")]
    assert all(words)
    assert len(set(words)) == len(MarkKind) + 1


@pytest.mark.parametrize(("u", "side"), [(-60.0, "right"), (60.0, "left")])
def test_what_is_said_of_a_drawn_point_has_the_body_s_own_side(u: float, side: str) -> None:
    # Front view: the body's left lies at the page's right.
    for view, sign in (("anterior", 1), ("posterior", -1)):
        found = placed_by_mark("adult_male", view, "point", [[sign * u, 350.0]], 171.0)
        assert found is not None
        first, _, across = place_parts(found, 171.0)
        assert side in first.lower()
        assert f"cm {side} of the {view} midline" in across
