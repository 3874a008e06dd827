"""The plots: well-formed, readable aloud, no inline style or script."""

from datetime import datetime
from xml.etree import ElementTree

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from findings.calculations import plots
from findings.calculations.registry import calculate
from findings.calculations.time_since_death import Window

SVG = "{http://www.w3.org/2000/svg}"


def curve(hours: float, step: float = 0.5, ambient: float = 18) -> list[plots.CurvePoint]:
    points = calculate(
        "cooling_forward", {"ambient_C": ambient, "mass_kg": 70, "hours": hours, "step_h": step}
    ).outcome.fields["curve"]
    return [
        plots.CurvePoint(point["t_h"], point["rectal_C"], point["low_h"], point["high_h"])
        for point in points
    ]


def windows() -> list[Window]:
    return [
        Window("rectal <temperature>", datetime(2026, 3, 1, 22), datetime(2026, 3, 2, 3, 30)),
        Window("body at ambient", None, datetime(2026, 3, 2, 4)),
    ]


def bars() -> list[plots.OrganBar]:
    return [
        plots.OrganBar("heart", 420, 233, 383, 331, "men of 18 to 35 years"),
        plots.OrganBar("spleen", 139, 43, 344, 139, "men of 18 to 35 years"),
    ]


ALL_PLOTS = {
    "cooling": plots.cooling_curve_svg(curve(30), ambient_c=18, reading=(12.3, 30.0)),
    "cooling without band": plots.cooling_curve_svg(
        [plots.CurvePoint(0, 37.2, None, None), plots.CurvePoint(1, 37, None, None)], ambient_c=36
    ),
    "time line": plots.time_line_svg(
        windows(), common=(datetime(2026, 3, 1, 22), datetime(2026, 3, 2, 3, 30))
    ),
    "contradiction": plots.time_line_svg(windows(), common=None),
    "single moment": plots.time_line_svg(
        [Window("a", datetime(2026, 3, 1), datetime(2026, 3, 1))], common=None
    ),
    "organs": plots.organ_weights_svg(bars()),
}


@pytest.mark.parametrize("svg", ALL_PLOTS.values(), ids=ALL_PLOTS)
def test_a_plot_can_be_read_aloud_and_carries_no_style_or_script(svg: str) -> None:
    root = ElementTree.fromstring(svg)
    title, desc = root.find(f"{SVG}title"), root.find(f"{SVG}desc")
    assert root.get("role") == "img"
    assert title is not None and title.text
    assert desc is not None and desc.text
    assert root.get("aria-labelledby") == f"{title.get('id')} {desc.get('id')}"
    for element in root.iter():
        assert element.get("style") is None
        assert not [name for name in element.attrib if name.lower().startswith("on")]
        assert element.tag not in (f"{SVG}script", f"{SVG}style", f"{SVG}foreignObject")
    assert "nan" not in svg.lower().replace("dominant", "")


def test_words_of_the_case_are_escaped() -> None:
    assert "rectal &lt;temperature&gt;" in ALL_PLOTS["time line"]
    assert '"><' not in plots.organ_weights_svg(bars(), plot_id='a"><b').split("viewBox")[0]


def test_the_curve_says_its_ends_and_its_reading() -> None:
    assert "From 37.2 °C at death" in ALL_PLOTS["cooling"]
    assert "30.0 °C lies at 12.3 hours" in ALL_PLOTS["cooling"]
    assert "from memory" in ALL_PLOTS["cooling"]
    assert "plot-band" not in ALL_PLOTS["cooling without band"]


def test_a_contradiction_is_said_in_words() -> None:
    assert "no time common to all" in ALL_PLOTS["contradiction"]
    assert "plot-common" not in ALL_PLOTS["contradiction"]


def test_an_open_end_is_named() -> None:
    assert "body at ambient (earliest open)" in ALL_PLOTS["time line"]
    assert "body at ambient: open to 2026-03-02 04:00." in ALL_PLOTS["time line"]


def test_a_weight_says_its_place_in_the_range() -> None:
    assert "heart: 420 g, above the range 233 to 383 g" in ALL_PLOTS["organs"]
    assert "spleen: 139 g, within the range" in ALL_PLOTS["organs"]


@settings(max_examples=60, deadline=None)
@given(st.floats(-1000, 1000), st.floats(0.001, 5000))
def test_ticks_are_few_round_and_inside(low: float, span: float) -> None:
    found = plots.ticks(low, low + span)
    assert 1 <= len(found) <= 9
    assert all(low - 1e-6 <= value <= low + span + 1e-6 for value in found)
