"""Plots element by element: every place worked out from the scales, every word written again."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from xml.etree import ElementTree

import pytest

from findings.calculations import plots
from findings.calculations.plots import CurvePoint, OrganBar
from findings.calculations.time_since_death import Window

# Where the drawing lies on the page: 640 wide; axes from 56 to 624 and, for cooling, 276 up to 20.
FROM, TO, FLOOR, ROOF = 56, 624, 276, 20
INK = {"fill": "currentColor"}
STROKE = {"fill": "none", "stroke": "currentColor"}
THIN, THICK = {**STROKE, "stroke-width": "1"}, {**STROKE, "stroke-width": "2"}
SHADE = {**INK, "fill-opacity": "0.15", "stroke": "none"}
BAR = {"stroke": "currentColor", "stroke-width": "3"}

Element = tuple[str, dict[str, str], str]


def n(value: float) -> str:
    return ("%.1f" % value).removesuffix(".0")  # noqa: UP031


def text(x: float, y: float, words: str, anchor: str = "middle") -> Element:
    place = {"class": "plot-label", "x": n(x), "y": n(y), "text-anchor": anchor}
    return "text", {**place, **INK, "font-size": "13"}, words


def line(x1: float, y1: float, x2: float, y2: float, css: str, look: object = None) -> Element:
    ends = {"class": css, "x1": n(x1), "y1": n(y1), "x2": n(x2), "y2": n(y2)}
    return "line", {**ends, **(look or THIN)}, ""  # type: ignore[dict-item]


def path(points: list[tuple[float, float]], css: str, look: dict[str, str], end: str) -> Element:
    steps = "M" + " L".join(f"{n(x)} {n(y)}" for x, y in points) + end
    return "path", {"class": css, "d": steps, **look}, ""


def drawn(svg: str, name: str, height: float, title: str) -> tuple[str, list[Element]]:
    """What a plot says aloud, and its elements in order; its frame is checked."""
    root = ElementTree.fromstring(svg)
    assert root.attrib == {
        "class": "plot",
        "role": "img",
        "viewBox": f"0 0 640 {n(height)}",
        "aria-labelledby": f"{name}-title {name}-desc",
    }
    namespace = "{http://www.w3.org/2000/svg}"
    assert root.tag == namespace + "svg"
    parts = [(e.tag.removeprefix(namespace), dict(e.attrib), e.text or "") for e in root]
    assert parts[0] == ("title", {"id": f"{name}-title"}, title)
    assert parts[1][:2] == ("desc", {"id": f"{name}-desc"})
    return parts[1][2], parts[2:]


def cooling_axes(hours: list[int], last: float, degrees: list[int], low: float, high: float):
    """Frame, names and ticks of hours over degrees, and the two scales."""

    def x(value: float) -> float:
        return FROM + value * (TO - FROM) / last

    def y(value: float) -> float:
        return FLOOR - (value - low) * (FLOOR - ROOF) / (high - low)

    parts = [
        line(FROM, FLOOR, TO, FLOOR, "plot-axis"),
        line(FROM, ROOF, FROM, FLOOR, "plot-axis"),
        text(340, 314, "hours since death"),
        text(FROM, 14, "°C", "end"),
    ]
    for hour in hours:
        parts += [line(x(hour), FLOOR, x(hour), 281, "plot-tick"), text(x(hour), 295, str(hour))]
    for degree in degrees:
        parts.append(line(51, y(degree), FROM, y(degree), "plot-tick"))
        parts.append(text(48, y(degree) + 4, str(degree), "end"))
    return parts, x, y


CURVE = [
    CurvePoint(0, 37.2, -2.0, 2.0),
    CurvePoint(4, 33, 1.2, 6.8),
    CurvePoint(8, 27, 5.2, 10.8),
    CurvePoint(10, 24.5, 6, None),
]


def test_a_cooling_curve_is_drawn_to_scale() -> None:
    svg = plots.cooling_curve_svg(CURVE, ambient_c=18.5, reading=(6.04, 30.06))
    words, parts = drawn(svg, "cooling-curve", 320, "Expected cooling curve")
    # A degree below the ambient, which is the lowest, to the next one above death.
    expected, x, y = cooling_axes([0, 2, 4, 6, 8, 10], 10, [20, 25, 30, 35], 17, 38)
    band = [(x(0), y(37.2)), (x(1.2), y(33)), (x(5.2), y(27))]
    band += [(x(10), y(27)), (x(6.8), y(33)), (x(2), y(37.2))]
    curve = [(x(hour), y(degree)) for hour, degree in ((0, 37.2), (4, 33), (8, 27), (10, 24.5))]
    circle = {"class": "plot-reading", "cx": n(x(6.04)), "cy": n(y(30.06)), "r": "5", **INK}
    assert parts == [
        *expected,
        path(band, "plot-band", SHADE, "Z"),
        path(curve, "plot-line", THICK, ""),
        line(FROM, y(18.5), TO, y(18.5), "plot-ambient"),
        text(TO, y(18.5) - 4, "ambient 18.5 °C", "end"),
        ("circle", circle, ""),
    ]
    assert words == (
        "From 37.2 °C at death to 24.5 °C after 10 hours, ambient 18.5 °C. The reading of 30.1 °C "
        "lies at 6.0 hours. The shaded band is the 95 % tolerance, from memory of the published "
        "papers."
    )


def test_a_band_that_begins_at_death_begins_there() -> None:
    curve = [CurvePoint(0, 37.2, 0.0, 0.0), CurvePoint(10, 30, 8, 12)]
    drawn = ElementTree.fromstring(plots.cooling_curve_svg(curve, ambient_c=20))
    (band,) = [one.get("d") for one in drawn if one.get("class") == "plot-band"]
    corners = [corner.split() for corner in (band or "")[1:-1].split(" L")]
    # LEFT is where death lies; from hour 8, and up to the last hour of the curve.
    assert [float(x) for x, _ in corners] == [56, 510.4, 624, 56]
    assert (drawn.text or "").strip() == "".join((one.tail or "").strip() for one in drawn) == ""


def test_a_curve_of_a_body_colder_than_its_surroundings_has_room_for_both() -> None:
    short = [CurvePoint(0, 20.4, None, None), CurvePoint(0.5, 21, 0.1, 0.9)]
    svg = plots.cooling_curve_svg(short, ambient_c=36, plot_id="x")
    words, parts = drawn(svg, "x", 320, "Expected cooling curve")
    assert words == (
        "From 20.4 °C at death to 21.0 °C after 0.5 hours, ambient 36 °C. The shaded band is the "
        "95 % tolerance, from memory of the published papers."
    )
    # One banded point is no band; neither is one with a single end.
    assert [part[1]["class"] for part in parts if part[0] == "path"] == ["plot-line"]
    labels = [part[2] for part in parts if part[0] == "text"]
    assert labels[2:-1] == [
        "0", "0.1", "0.2", "0.3", "0.4", "0.5", "19", "19.5", "20", "20.5", "21",
    ]  # fmt: skip
    bare = [CurvePoint(0, 37.2, None, 3), CurvePoint(2, 36, 1, None)]
    unbanded = plots.cooling_curve_svg(bare, ambient_c=18)
    assert "shaded" not in unbanded
    assert "lies at" not in unbanded


def test_a_range_of_ambients_is_drawn_to_scale() -> None:
    cool = [CurvePoint(0, 37.2, 0, 3), CurvePoint(6, 28, 3, 9), CurvePoint(12, 20, None, None)]
    warm = [CurvePoint(0, 37.2, 0, 3), CurvePoint(8, 31, 5, 11)]
    svg = plots.cooling_range_svg(
        [cool, warm], ambients_c=(12.5, 22), rectal_c=30.04, span_h=(3.04, 10.06)
    )
    words, parts = drawn(svg, "cooling-range", 320, "Expected cooling over a range of ambients")
    expected, x, y = cooling_axes([0, 2, 4, 6, 8, 10, 12], 12, [15, 20, 25, 30, 35], 11, 38)
    cool_at = [(x(0), y(37.2)), (x(6), y(28)), (x(12), y(20))]
    warm_at = [(x(0), y(37.2)), (x(8), y(31))]
    level, early, late = y(30.04), x(3.04), x(10.06)
    assert parts == [
        *expected,
        path(cool_at + warm_at[::-1], "plot-band", SHADE, "Z"),
        path(cool_at, "plot-line", THICK, ""),
        path(warm_at, "plot-line", THICK, ""),
        line(FROM, y(12.5), TO, y(12.5), "plot-ambient"),
        text(TO, y(12.5) - 4, "ambient 12.5 °C", "end"),
        line(FROM, y(22), TO, y(22), "plot-ambient"),
        text(TO, y(22) - 4, "ambient 22 °C", "end"),
        line(early, level, late, level, "plot-reading", BAR),
        line(early, level - 6, early, level + 6, "plot-reading", BAR),
        line(late, level - 6, late, level + 6, "plot-reading", BAR),
    ]
    assert words == (
        "Expected cooling between an ambient temperature of 12.5 °C and one of 22 °C over 12 "
        "hours. The bar is the reading of 30.0 °C: 3.0 to 10.1 hours over the whole range with "
        "its tolerance."
    )
    # The lowest of all is a curve's own where a cold body warms up.
    warming = [[CurvePoint(0, 9.5, 0, 3), CurvePoint(1, 11, 0, 3)]] * 2
    low = plots.cooling_range_svg(
        warming, ambients_c=(25, 30), rectal_c=10, span_h=(0, 1), plot_id="y"
    )
    _, parts = drawn(low, "y", 320, "Expected cooling over a range of ambients")
    lowest = next(part for part in parts if part[2] == "8")
    assert lowest == text(48, FLOOR + 4, "8", "end")


def test_windows_lie_above_one_another_on_one_line_of_time() -> None:
    start = datetime(2026, 3, 1, 20, 0, tzinfo=UTC)
    hour = timedelta(hours=1)
    windows = [
        Window("rectal", start, start + 5 * hour),
        Window("early", None, start + 10 * hour),
        Window("late", start + hour, None),
        Window("moment", start + 2 * hour, start + 2 * hour),
    ]
    svg = plots.time_line_svg(windows, common=(start + hour, start + 2 * hour))
    words, parts = drawn(svg, "time-line", 246, "Time-since-death windows")

    # Ten hours are known; a tenth more on either side: 19:00 to 07:00.
    def x(hours: float) -> float:
        return FROM + (hours + 1) * (TO - FROM) / 12

    axis = [line(FROM, 202, TO, 202, "plot-axis")]
    for at, label, day in (
        (0, "20:00", "2026-03-01"), (2, "22:00", ""), (4, "00:00", "2026-03-02"), (6, "02:00", ""),
        (8, "04:00", ""), (10, "06:00", ""),
    ):  # fmt: skip
        axis += [line(x(at), 202, x(at), 207, "plot-tick"), text(x(at), 221, label)]
        axis += [text(x(at), 237, day)] if day else []

    def row(number: int, label: str, first: float, last: float, css: str, ink: str):
        y = 20 + 34 * number
        rect = {"class": css, "x": n(x(first)), "y": n(y + 13), "height": "10", **INK}
        width = n(max(x(last) - x(first), 2))
        yield text(FROM, y + 8, label, "start")
        yield "rect", {**rect, "width": width, "fill-opacity": ink}, ""

    assert parts == [
        *axis,
        *row(0, "rectal", 0, 5, "plot-window", "0.35"),
        *row(1, "early (earliest open)", -1, 10, "plot-window", "0.35"),
        *row(2, "late (latest open)", 1, 11, "plot-window", "0.35"),
        *row(3, "moment", 2, 2, "plot-window", "0.35"),
        *row(4, "common to all", 1, 2, "plot-common", "0.9"),
    ]
    assert words == (
        "rectal: 2026-03-01 20:00 +0000 to 2026-03-02 01:00 +0000. "
        "early: open to 2026-03-02 06:00 +0000. "
        "late: 2026-03-01 21:00 +0000 to open. "
        "moment: 2026-03-01 22:00 +0000 to 2026-03-01 22:00 +0000. "
        "common to all: 2026-03-01 21:00 +0000 to 2026-03-01 22:00 +0000."
    )


def test_windows_without_anything_in_common_and_without_a_zone() -> None:
    at = datetime(2026, 3, 1, 12, 10)
    svg = plots.time_line_svg([Window("a", at, at)], common=None, plot_id="z")
    words, parts = drawn(svg, "z", 110, "Time-since-death windows")
    assert words == (
        "a: 2026-03-01 12:10 to 2026-03-01 12:10. There is no time common to all: the windows "
        "exclude each other."
    )
    # Half an hour on either side of a single moment: 11:40 to 12:40.
    labels = [part[2] for part in parts if part[0] == "text"]
    assert labels == ["11:45", "2026-03-01", "12:00", "12:15", "12:30", "a"]
    assert parts[-1][1]["x"] == n((FROM + TO) / 2)
    assert parts[-1][1]["width"] == "2"


@pytest.mark.parametrize(
    ("hours", "step"),
    [
        (1, 0.25), (2, 0.25), (2.1, 0.5), (4, 0.5), (4.1, 1), (8, 1), (8.1, 2), (16, 2),
        (16.1, 3), (24, 3), (24.1, 6), (48, 6), (48.1, 12), (96, 12), (96.1, 24), (192, 24),
        (192.1, 48), (384, 48), (384.1, 72), (577, 96),
    ],
)  # fmt: skip
def test_moments_are_even_and_about_eight(hours: float, step: float) -> None:
    midnight = datetime(2026, 3, 1)
    for first in (midnight, midnight + timedelta(hours=1, minutes=7, seconds=3, microseconds=5)):
        last = first + timedelta(hours=hours)
        moments = [midnight + timedelta(hours=step * number) for number in range(1000)]
        expected = [moment for moment in moments if first <= moment <= last]
        assert plots._even_moments(first, last) == expected
        assert len(expected) <= 9


@pytest.mark.parametrize(
    ("low", "high", "most", "found"),
    [
        (0, 8, 8, list(range(9))),
        (0, 8.01, 8, [0, 2, 4, 6, 8]),
        (0, 16, 8, list(range(0, 17, 2))),
        (0, 16.1, 8, [0, 5, 10, 15]),
        (0, 40, 8, list(range(0, 41, 5))),
        (0, 40.1, 8, [0, 10, 20, 30, 40]),
        (17.2, 37.9, 8, [20, 25, 30, 35]),
        (-5, 5, 8, [-4, -2, 0, 2, 4]),
        (0, 0.8, 8, [0, 0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8]),
        (0, 10, 2, [0, 5, 10]),
        (3, 3, 8, [3]),
        (0.3, 0.7, 4, [0.3, 0.4, 0.5, 0.6, 0.7]),
    ],
)
def test_ticks_are_the_round_numbers_inside(
    low: float, high: float, most: int, found: list[float]
) -> None:
    assert plots.ticks(low, high, most) == found
    if most == 8:
        assert plots.ticks(low, high) == found


def organ_row(number: int, bar: OrganBar, place: str) -> Iterator[Element]:
    y, end = 24 + 40 * number, max(bar.high_g, bar.weight_g) * 4 / 3

    def x(grams: float) -> float:
        return 206 + grams / end * (TO - 206)

    width = n(x(bar.high_g) - x(bar.low_g))
    rect = {"class": "plot-range", "x": n(x(bar.low_g)), "y": n(y + 4), "width": width}
    weight = {"class": f"plot-weight plot-{place}", "cx": n(x(bar.weight_g)), "cy": n(y + 11)}
    yield text(FROM, y + 15, bar.label, "start")
    yield text(FROM, y + 31, f"range {bar.low_g} to {bar.high_g} g", "start")
    yield "rect", {**rect, "height": "14", **SHADE}, ""
    yield line(x(bar.mean_g), y + 4, x(bar.mean_g), y + 18, "plot-mean")
    yield "circle", {**weight, "r": "5", **INK}, ""
    yield text(x(bar.weight_g), y + 32, f"{bar.weight_g} g, {place}")


def test_organs_stand_each_on_its_own_scale() -> None:
    bars = [
        OrganBar("heart", 420, 233, 383, 331, "men"),
        OrganBar("spleen & co", 43, 43, 344, 139, "women"),
        OrganBar("liver", 900, 968, 1860, 1561, "men"),
    ]
    svg = plots.organ_weights_svg(bars)
    words, parts = drawn(svg, "organ-weights", 160, "Organ weights against reference")
    places = ("above", "within", "below")
    rows = [organ_row(*each) for each in zip(range(3), bars, places, strict=True)]
    assert parts == [element for row in rows for element in row]
    assert words == (
        "heart: 420 g, above the range 233 to 383 g (mean 331 g, men). "
        "spleen & co: 43 g, within the range 43 to 344 g (mean 139 g, women). "
        "liver: 900 g, below the range 968 to 1860 g (mean 1561 g, men)."
    )


def test_a_number_on_the_page_has_one_decimal_at_most() -> None:
    assert [plots._num(value) for value in (0, 100, 3.0, 3.14, 3.16, -0.5, 10.04)] == [
        "0", "100", "3", "3.1", "3.2", "-0.5", "10",
    ]  # fmt: skip


def test_a_name_with_quotes_stays_inside_its_attribute() -> None:
    svg = plots.organ_weights_svg([], plot_id="a\"><b'")
    root = ElementTree.fromstring(svg)
    assert root.attrib["aria-labelledby"] == "a\"><b'-title a\"><b'-desc"
