"""Charts are drawn to scale, in order, and whatever text is in them is escaped."""

from __future__ import annotations

import re
from xml.etree import ElementTree as ET

from cases.measures.charts import LEFT, RIGHT, WIDTH, bars, columns, step_curve


def read(svg: str) -> ET.Element:
    return ET.fromstring(svg)


def words(svg: str) -> list[str]:
    return [one.text or "" for one in read(svg).iter("text")]


def of(svg: str, kind: str) -> list[dict[str, str]]:
    return [one.attrib for one in read(svg).iter() if kind in one.get("class", "").split()]


def test_a_curve_goes_through_its_steps_to_scale():
    svg = step_curve([(25, 0.5), (100, 1.0)], until=100, says="said", marks=(50,), target=(50, 0.9))
    [path] = of(svg, "chart-curve")
    span = WIDTH - LEFT - RIGHT
    numbers = [float(n) for n in re.findall(r"[\d.]+", path["d"])]
    assert numbers == [LEFT, 226, LEFT + span / 4, 120, LEFT + span, 14]
    limits = of(svg, "chart-limit")
    assert [limits[1]["x1"], limits[1]["x2"]] == [f"{LEFT + span / 2:g}"] * 2
    assert float(limits[0]["y1"]) == float(limits[1]["y1"]) == 14 + 212 * 0.1 // 0.1 * 0.1
    assert words(svg) == ["0%", "50%", "100%", "0", "50", "100 days"]
    assert read(svg).get("aria-label") == "said"
    assert read(svg).get("role") == "img"


def test_a_curve_ends_where_nothing_was_observed_any_more():
    [path] = of(step_curve([(10, 0.5)], until=40, says="s", marks=(80,)), "chart-curve")
    assert path["d"].endswith(f"H{LEFT + (WIDTH - LEFT - RIGHT) / 2:g}")
    assert "80 days" not in words(step_curve([], until=0, says="s", marks=(80,)))


def test_bars_are_as_long_as_their_numbers():
    svg = bars([("A & B", 325), ("C", 130)], says='"A" < C', limits=[(250, "250"), (650, "650")])
    first, second = of(svg, "chart-bar")
    assert float(first["width"]) == 2.5 * float(second["width"])
    lines = of(svg, "chart-limit")
    assert float(lines[0]["x1"]) < float(lines[1]["x1"]) == WIDTH - RIGHT
    assert words(svg) == ["250", "650", "A & B, 325", "C, 130"]
    assert read(svg).get("aria-label") == '"A" < C'
    assert of(bars([("A", 0)], says="s"), "chart-bar")[0]["width"] == "0"


def test_columns_beyond_a_limit_are_told_apart():
    svg = columns([("0 to 30", 10), ("31 to 60", 5), ("over", 0)], says="s", after=1)
    heights = [float(one["height"]) for one in of(svg, "chart-bar")]
    assert heights[0] == 2 * heights[1]
    assert heights[2] == 0
    assert len(of(svg, "chart-beyond")) == 2
    assert words(svg) == ["10", "0 to 30", "5", "31 to 60", "0", "over"]
    assert not of(columns([("a", 1)], says="s"), "chart-beyond")
    assert not of(columns([], says="s"), "chart-bar")
