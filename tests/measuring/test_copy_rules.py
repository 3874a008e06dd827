"""What is done to a copy, in numbers reckoned by hand: a line, a part, a plane seen square on."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from evidence.measuring import copy_rules
from evidence.measuring.rules import CopyKind, ScaleKind
from me_office.audit.errors import Refused

LINE = [[300, 400], [600, 400]]
AREA = [[300, 400], [600, 400], [600, 600], [300, 600]]
STRAIGHT = [{"px": [200, 700], "mm": [0, 0]}, {"px": [700, 700], "mm": [50, 0]}]
KNOWN = [(10, 0), (40, 0), (70, 0), (0, 10), (0, 40), (0, 70)]
# Ten points of the picture a millimeter; the scale counts upward, the picture downward.
CARD = [{"px": [100 + 10 * x, 760 - 10 * y], "mm": [x, y]} for x, y in KNOWN]
LENGTH_WORDS = "3.0 cm (2.6 to 3.4), tilt up to 5°, in the plane of the scale"
AREA_WORDS = "6.0 sq. cm (5.5 to 6.5), in the plane of the scale"


def measured(*, area: bool = False, version: str = "9.0", **changed: Any) -> Any:
    quantity = (
        {"name": "area", "unit": "mm2", "low": 550, "value": 600, "high": 650}
        if area
        else {"name": "length", "unit": "mm", "low": 26, "value": 30, "high": 34}
    )
    result = {"quantities": [quantity], "interval": "limits", "warnings": []}
    inputs = {
        "picture_px": [1200, 800],
        "orientation": 6,
        "scale_points": CARD if area else STRAIGHT,
    }
    fields = {
        "kind": "area" if area else "length",
        "scale_kind": ScaleKind.RIGHT_ANGLED if area else ScaleKind.STRAIGHT,
        "points": AREA if area else LINE,
        "inputs": inputs | changed.pop("inputs", {}),
        "result": result if area else result | {"tilt_deg": 5},
        "method_version": version,
    }
    return SimpleNamespace(**fields | changed)


def marked(points: Any, at: list[float], words: str, *, closed: bool, unit: int = 2) -> Any:
    return {
        "op": "mark",
        "lines": [{"points": points, "closed": closed}],
        "words": [{"at": at, "text": words}],
        "unit_px": unit,
    }


UPRIGHT = {"op": "upright", "orientation": 6}


def test_a_marked_copy_is_upright_with_its_line_and_words():
    assert copy_rules.operations_for(CopyKind.MARKED, measured()) == [
        UPRIGHT, marked(LINE, [450, 384], LENGTH_WORDS, closed=False)
    ]  # fmt: skip
    assert copy_rules.operations_for(CopyKind.MARKED, measured(area=True)) == [
        UPRIGHT, marked(AREA, [450, 384], AREA_WORDS, closed=True)
    ]  # fmt: skip


def test_a_cropped_copy_shows_scale_and_line_with_room_around_them():
    # 500 across, so 75 of room; the line moves with the corner, and its words stay inside.
    line = [[175, 75], [475, 75]]
    assert copy_rules.operations_for(CopyKind.CROPPED, measured()) == [
        UPRIGHT,
        {"op": "crop", "box": [125, 325, 776, 776]},
        marked(line, [325, 67], LENGTH_WORDS, closed=False, unit=1),
    ]


@pytest.mark.parametrize(
    ("points", "box"),
    [
        ([[210, 690], [600, 400]], [125, 325, 776, 776]),
        ([[10, 5], [600, 400]], [0, 0, 805, 800]),
        ([[1190, 5], [600, 400]], [51, 0, 1200, 800]),
        ([[450.5, 500.5]], [125, 425, 776, 776]),
    ],
)
def test_a_part_stays_within_the_picture(points, box):
    assert copy_rules.crop(measured(points=points)) == {"op": "crop", "box": box}


FLAT = {
    "op": "rectify",
    "to_picture": [[10, 0, 100], [0, 10, 760], [0, 0, 1]],
    "origin_mm": [-10.5, -80.5],  # 70 mm across, so 10.5 of room
    "px_per_mm": 10,
    "size": [910, 910],
}


def close(found: Any, expected: Any) -> bool:
    return bool(np.allclose(np.array(found, float), np.array(expected, float), atol=1e-6))


def same_plane(found: dict[str, Any], expected: dict[str, Any]) -> bool:
    assert (found["op"], found["size"]) == (expected["op"], expected["size"])
    assert set(found) == set(expected)
    return all(close(found[name], expected[name]) for name in ("to_picture", "origin_mm")) and (
        found["px_per_mm"] == expected["px_per_mm"]
    )


def test_a_rectified_copy_looks_square_on_at_the_scale():
    upright, flat, line = copy_rules.operations_for(CopyKind.RECTIFIED, measured(area=True))
    assert upright == UPRIGHT
    assert same_plane(flat, FLAT)
    points = [[305, 445], [605, 445], [605, 645], [305, 645]]
    assert close(line["lines"][0]["points"], points)
    assert line["lines"][0]["closed"] is True
    assert close(line["words"][0]["at"], [455, 437])
    assert (line["words"][0]["text"], line["unit_px"]) == (AREA_WORDS, 1)
    plain = copy_rules.operations_for(CopyKind.RECTIFIED, measured(area=True), with_line=False)
    assert plain == [upright, flat]


def test_a_straight_scale_rectifies_nothing():
    with pytest.raises(Refused) as refused:
        copy_rules.operations_for(CopyKind.RECTIFIED, measured())
    assert refused.value.field == "kind"
    assert str(refused.value) == (
        "A straight scale cannot rectify a picture; a right-angled one can."
    )
    with pytest.raises(Refused, match=r"^There is no scale\.$") as refused:
        copy_rules.rectify(LINE, [])
    assert refused.value.field == "kind"


def test_a_rectified_copy_is_6000_points_long_at_most():
    found = copy_rules.rectify([[100, 760], [10100, 760]], CARD)
    # 1000 mm across, 150 of room on each side: 6000 points for 1300 mm.
    assert close(found["origin_mm"], [-150, -220])
    assert found["px_per_mm"] == 4.615385
    assert found["size"] == [6000, 1708]
    tall = copy_rules.rectify([[100, 760], [100, -9240]], CARD)
    assert tall["size"] == [1708, 6000]


@pytest.mark.parametrize("quarter", range(4))
@pytest.mark.parametrize("side", [1, -1])
@pytest.mark.parametrize("turned", [-40, 0, 40])
def test_a_scale_lies_as_in_the_picture_turned_by_quarters_and_never_mirrored(
    quarter, side, turned
):
    def turn(degrees: float) -> Any:
        angle = np.radians(degrees)
        return np.array([[np.cos(angle), -np.sin(angle)], [np.sin(angle), np.cos(angle)]])

    known = np.array(KNOWN, float)
    way = turn(90 * quarter) @ np.diag([1, side])
    picture = 10 * known @ (turn(turned) @ way).T + (300, 500)
    assert close(copy_rules._as_seen(picture, known), known @ way.T)


@pytest.mark.parametrize(
    ("size", "points", "at", "unit"),
    [
        ((4000, 3000), [[2000, 1500], [2100, 1400]], [2050, 1360], 5),
        ((4000, 3000), [[100, 1500], [100, 1400]], [850, 1360], 5),  # 170 units of room
        ((4000, 3000), [[3900, 1500], [3900, 1400]], [3150, 1360], 5),
        ((600, 4000), [[10, 900], [20, 1000]], [300, 884], 2),  # as narrow as its words
        ((100, 50), [[90, 49], [90, 49]], [50, 41], 1),
        ((100, 50), [[90, 10], [90, 49]], [50, 14], 1),
        ((100, 15), [[90, 10], [90, 12]], [50, 11], 1),
    ],
)
def test_words_stand_over_the_middle_of_the_line_and_inside_the_picture(size, points, at, unit):
    found = copy_rules.marks(measured(), np.array(points, float), size)
    assert found == marked(points, at, LENGTH_WORDS, closed=False, unit=unit)


def test_an_interval_of_an_earlier_method_is_not_printed():
    (_, line) = copy_rules.operations_for(CopyKind.MARKED, measured(version="1.0"))
    assert line["words"][0]["text"].startswith("3.0 cm (no interval)")
    (_, line) = copy_rules.operations_for(CopyKind.MARKED, measured(area=True, version="1.0"))
    assert line["words"][0]["text"] == AREA_WORDS
