"""What may be kept of a mark made in court, and how it is drawn."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from typing import Any

import pytest

from cases.exhibits.mark_rules import check_marked, checked_strokes, drawn_shape
from me_office.audit.errors import Refused

PEN = {"tool": "pen", "points": [[0, 0], [0.123456789, 1], [0.5, 0.5]]}
ARROW = {"tool": "arrow", "points": [[0.2, 0.2], [0.4, 0.2]]}
CIRCLE = {"tool": "circle", "points": [[0.5, 0.6], [0.3, 0.2]]}
NOW = datetime(2026, 11, 29, 14, 32, tzinfo=UTC)


def test_strokes_are_kept_as_they_were_drawn_to_a_fifth_decimal() -> None:
    kept = checked_strokes([PEN, ARROW, CIRCLE])
    assert kept[0] == {"tool": "pen", "points": [[0.0, 0.0], [0.12346, 1.0], [0.5, 0.5]]}
    assert kept[1:] == [ARROW, CIRCLE]
    line = {"tool": "pen", "points": [[0.1, 0.1], [0.2, 0.1]] * 200}
    assert len(checked_strokes([line] * 60)) == 60


@pytest.mark.parametrize(
    ("given", "words"),
    [
        (None, "There is nothing drawn to keep."),
        ([], "There is nothing drawn to keep."),
        ({"tool": "pen"}, "There is nothing drawn to keep."),
        ([ARROW] * 61, "A mark has at most 60 strokes."),
        (["pen"], "A stroke is drawn by pen, arrow or circle."),
        ([{"tool": "brush", "points": []}], "A stroke is drawn by pen, arrow or circle."),
        ([{"tool": "pen"}], "A stroke has at most 400 points."),
        ([{"tool": "pen", "points": [[0.1, 0.1]] * 401}], "A stroke has at most 400 points."),
        ([{"tool": "pen", "points": [[0.1, 0.1]] * 3}], "A stroke needs two different points"),
        ([{**ARROW, "points": [*ARROW["points"], [0.9, 0.9]]}], "an arrow or circle no more."),
        ([{**CIRCLE, "points": [[0.5, 0.5]]}], "A stroke needs two different points"),
        ([{**ARROW, "points": [[0.1, 0.1], [1.01, 0.1]]}], "Every point has to be inside"),
        ([{**ARROW, "points": [[0.1, 0.1], [0.2, -0.01]]}], "Every point has to be inside"),
        ([{**ARROW, "points": [[0.1, 0.1], [True, 0.1]]}], "Every point has to be inside"),
        ([{**ARROW, "points": [[0.1, 0.1], ["a", 0.1]]}], "Every point has to be inside"),
        ([{**ARROW, "points": [[0.1, 0.1], [0.2, 0.1, 0.3]]}], "Every point has to be inside"),
        ([{**ARROW, "points": [[0.1, 0.1], 0.2]}], "Every point has to be inside"),
    ],
)
def test_what_is_no_drawing_is_refused_beside_its_field(given: Any, words: str) -> None:
    with pytest.raises(Refused) as refused:
        checked_strokes(given)
    assert words in refused.value.message
    assert refused.value.field == "strokes"


def test_a_mark_may_be_as_far_ahead_as_two_clocks_differ_and_no_further() -> None:
    check_marked(NOW - timedelta(days=2), now=NOW)
    check_marked(NOW + timedelta(minutes=5), now=NOW)
    with pytest.raises(Refused, match="in the future") as refused:
        check_marked(NOW + timedelta(minutes=5, seconds=1), now=NOW)
    assert refused.value.field == "marked_at"


def test_strokes_are_drawn_over_the_picture_in_its_own_points() -> None:
    assert drawn_shape({"tool": "pen", "points": [[0, 0], [0.5, 1], [1, 0.25]]}, 200, 100) == {
        "path": "M0.0 0.0L100.0 100.0L200.0 25.0"
    }
    # An arrow from the left: barbs a fortieth of the longer side long, 28 degrees off its shaft.
    assert drawn_shape(ARROW, 400, 200) == {
        "path": "M80.0 40.0L160.0 40.0M151.2 35.3L160.0 40.0L151.2 44.7"
    }
    assert drawn_shape({**ARROW, "points": [[0.5, 0.1], [0.5, 0.9]]}, 200, 400)["path"].endswith(
        "M104.7 351.2L100.0 360.0L95.3 351.2"
    )
    assert drawn_shape(CIRCLE, 200, 100) == {"cx": "80.0", "cy": "40.0", "rx": "20.0", "ry": "20.0"}
