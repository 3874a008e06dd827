"""What is read out of a request to measure and how a result is said: every field, every limit.

Exif orientations 5 to 8 lie on their side: CIPA DC-008 (from memory, source not checked). Rounding
and the order of words are the office's own (common practice).
"""

from __future__ import annotations

from decimal import Decimal
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from evidence.measuring import rules
from evidence.measuring.rules import ScaleKind, reading_of
from findings.calculations import photo_measurement as method
from findings.calculations.photo_assumptions import WITHHELD
from findings.calculations.photo_scales import PUBLISHED
from me_office.audit.errors import Refused

PICKS = [
    {"label": "0", "px": [100, 100], "mm": [0, 0]},
    {"label": "5", "px": [600, 100], "mm": [30, 40]},
]
FOUR = [{"px": [x, y], "mm": [x / 10, y / 10]} for x, y in ((0, 0), (9, 0), (9, 9), (0, 9))]
ENTRY = {
    "kind": "length",
    "scale_kind": "straight",
    "scale_points": PICKS,
    "points": [[1, 2], [3, 4.5]],
}


def entry(**changed: Any) -> dict[str, Any]:
    return {**ENTRY, **changed}


def test_a_reading_is_what_was_sent_with_the_usual_errors():
    found = reading_of(ENTRY)
    assert (found.kind, found.scale_kind) == (method.MeasureKind.LENGTH, ScaleKind.STRAIGHT)
    assert found.scale_points == (
        {"label": "0", "px": [100.0, 100.0], "mm": [0.0, 0.0]},
        {"label": "5", "px": [600.0, 100.0], "mm": [30.0, 40.0]},
    )
    assert found.points == ((1.0, 2.0), (3.0, 4.5))
    assert (found.scale_name, found.in_plane, found.straight) == ("", False, True)
    assert (found.click_px, found.scale_mm) == (1.0, 0.1)
    assert (found.tilt_deg, found.depth_mm) == (rules.MOST_TILT_DEG, method.DEFAULT_DEPTH_MM)


def test_what_is_stated_takes_the_place_of_the_usual():
    found = reading_of(
        entry(
            kind="area", scale_kind="right-angled", scale_points=FOUR, scale_name="x" * 41,
            scale_in_plane=True, click_px=2, scale_mm=0.5, tilt_deg=10, depth_mm=3,
        )
    )  # fmt: skip
    assert (found.kind, found.straight, found.in_plane) == (method.MeasureKind.AREA, False, True)
    assert (found.click_px, found.scale_mm, found.tilt_deg, found.depth_mm) == (2, 0.5, 10, 3)
    assert found.scale_name == "x" * 40
    assert [pick["label"] for pick in found.scale_points] == [""] * 4
    assert reading_of(entry(scale_in_plane="yes")).in_plane is False
    long = [{**PICKS[0], "label": "y" * 61}, PICKS[1]]
    assert reading_of(entry(scale_points=long)).scale_points[0]["label"] == "y" * 60
    assert reading_of({"kind": "length", "scale_kind": "straight"}).points == ()


LEAST, MOST = rules.LEAST_TILT_DEG, rules.MOST_TILT_DEG
FAR = rules.LARGEST_PX


@pytest.mark.parametrize(
    ("changed", "field", "words"),
    [
        ({"kind": "weight"}, "kind", "Choose length, polyline, area or angle."),
        ({"scale_kind": "round"}, "scale_kind", "Choose the kind of scale."),
        ({"scale_points": "all"}, "scale_points", "Send a list of points."),
        ({"scale_points": [*PICKS, PICKS[0]]}, "scale_points", "A straight scale has two points."),
        (
            {"scale_kind": "right-angled", "scale_points": FOUR[:3]}, "scale_points",
            "no scale yet: pick four or more of its points",
        ),
        (
            {"scale_points": PICKS * 100}, "scale_points",
            f"Up to {rules.MOST_REFERENCE_POINTS} points.",
        ),
        ({"scale_points": ["x"]}, "scale_points", "Each point of the scale needs px and mm."),
        ({"scale_points": [{"mm": [1, 2]}]}, "scale_points", "Each point is a pair of numbers."),
        ({"scale_points": [{"px": [1, 2]}]}, "scale_points", "Each point is a pair of numbers."),
        (
            {"scale_points": [{"px": [1, 2], "mm": [5001, 0]}]}, "scale_points",
            "Between -5000 and 5000.",
        ),
        ({"points": {1: 2}}, "points", "Send a list of points."),
        ({"points": [[1, 1]] * 5000}, "points", f"Up to {rules.MOST_OBJECT_POINTS} points."),
        ({"points": [[1]]}, "points", "Each point is a pair of numbers."),
        ({"points": ["12"]}, "points", "Each point is a pair of numbers."),
        ({"points": [[1, "2"]]}, "points", "A number is needed."),
        ({"points": [[True, 2]]}, "points", "A number is needed."),
        ({"points": [[1, float("nan")]]}, "points", "A number is needed."),
        ({"points": [[FAR + 1, 0]]}, "points", f"Between {-FAR:g} and {FAR:g}."),
        ({"points": [[0, -FAR - 1]]}, "points", f"Between {-FAR:g} and {FAR:g}."),
        ({"click_px": 0.09}, "click_px", "Between 0.1 and 100."),
        ({"click_px": 100.1}, "click_px", "Between 0.1 and 100."),
        ({"scale_mm": -0.1}, "scale_mm", "Between 0 and 10."),
        ({"scale_mm": 10.1}, "scale_mm", "Between 0 and 10."),
        ({"tilt_deg": LEAST - 0.1}, "tilt_deg", f"Between {LEAST:g} and {MOST:g}."),
        ({"tilt_deg": MOST + 0.1}, "tilt_deg", f"Between {LEAST:g} and {MOST:g}."),
        ({"depth_mm": -1}, "depth_mm", "Between 0 and 100."),
        ({"depth_mm": 100.1}, "depth_mm", "Between 0 and 100."),
        ({"depth_mm": None}, "depth_mm", "A number is needed."),
    ],
)  # fmt: skip
def test_what_cannot_be_measured_is_refused_at_its_field(changed, field, words):
    with pytest.raises(Refused) as refused:
        reading_of(entry(**changed))
    assert (refused.value.field, str(refused.value)) == (field, words)


def test_a_kind_and_a_scale_have_to_be_chosen():
    for lacking in ("kind", "scale_kind"):
        with pytest.raises(Refused) as refused:
            reading_of({name: value for name, value in ENTRY.items() if name != lacking})
        assert refused.value.field == lacking


@pytest.mark.parametrize(
    "changed",
    [
        {"click_px": 0.1}, {"click_px": 100}, {"scale_mm": 0}, {"scale_mm": 10},
        {"tilt_deg": LEAST}, {"tilt_deg": MOST}, {"depth_mm": 0}, {"depth_mm": 100},
        {"points": [[FAR, -FAR]]}, {"points": [[1, 1]] * rules.MOST_OBJECT_POINTS},
        {"scale_points": [{"px": [0, 0], "mm": [5000, -5000]}]}, {"scale_points": []},
        {"scale_kind": "right-angled", "scale_points": (FOUR * 100)[: rules.MOST_REFERENCE_POINTS]},
    ],
)  # fmt: skip
def test_every_limit_itself_is_taken(changed):
    reading_of(entry(**changed))


def test_a_reading_is_kept_with_the_picture_that_it_belongs_to():
    exif = {"focal_35mm": 50, "orientation": 6}
    kept = reading_of(entry(tilt_deg=10)).inputs(size=(900, 1200), exif=exif, sha256="ab")
    assert kept == {
        "scale_name": "",
        "scale_source": "as stated by the person measuring",
        "scale_points": list(reading_of(ENTRY).scale_points),
        "scale_in_plane": False,
        "click_px": 1.0,
        "scale_mm": 0.1,
        "tilt_deg": 10.0,
        "depth_mm": method.DEFAULT_DEPTH_MM,
        "focal_35mm": 50,
        "picture_px": [900, 1200],
        "orientation": 6,
        "photograph_sha256": "ab",
    }
    name, published = next(iter(PUBLISHED.items()))
    other = entry(scale_kind="right-angled", scale_points=FOUR, scale_name=name)
    kept = reading_of(other).inputs(size=(9, 9), exif={}, sha256="")
    assert (kept["scale_name"], kept["scale_source"]) == (name, published.source)
    assert (kept["tilt_deg"], kept["depth_mm"]) == (None, None)
    assert (kept["focal_35mm"], kept["orientation"]) == (None, 1)


@pytest.mark.parametrize("orientation", range(1, 9))
def test_a_picture_on_its_side_is_as_wide_as_it_was_high(orientation):
    size = (300, 400) if orientation in {5, 6, 7, 8} else (400, 300)
    assert rules.upright_size(400, 300, orientation) == size


@pytest.mark.parametrize("kind", ["jpeg", "png", "tiff", "heic", "webp"])
def test_a_picture_of_its_own_is_measured_and_a_raw_file_is_not(kind):
    rules.check_picture(f"image/{kind}")
    with pytest.raises(Refused, match="camera raw file cannot be measured"):
        rules.check_picture("image/x-adobe-dng")


def test_a_scale_is_of_two_points_or_more():
    assert rules.scale_of([]) is None
    assert rules.scale_of(PICKS[:1]) is None
    found = rules.scale_of(PICKS)
    assert found is not None
    assert np.array_equal(found.picture, [[100, 100], [600, 100]])
    assert np.array_equal(found.known, [[0, 0], [30, 40]])


SIZE = (1000, 800)


@pytest.mark.parametrize(
    ("points", "field"),
    [
        ([[0, 0], [1000, 800]], None),
        ([[-0.1, 0], [1000, 800]], "points"),
        ([[0, -0.1], [1000, 800]], "points"),
        ([[0, 0], [1000.1, 800]], "points"),
        ([[0, 0], [1000, 800.1]], "points"),
    ],
)
def test_every_point_lies_in_the_picture(points, field, monkeypatch):
    answer: Any = SimpleNamespace(
        refusal="", quantities=[], residual_mm=None, warnings=("w",), interval="i"
    )
    monkeypatch.setattr(rules, "answer_to", lambda *given: answer)
    scale = [{"px": place, "mm": [0, n]} for n, place in enumerate(points)]
    for name, changed in (
        ("points", {"points": points}),
        ("scale_points", {"scale_points": scale}),
    ):
        reading = reading_of(entry(**changed))
        if field is None:
            assert rules.measured(reading, SIZE, {})["warnings"] == ["w"]
            continue
        with pytest.raises(Refused, match=r"^A point lies outside the picture\.$") as refused:
            rules.measured(reading, SIZE, {})
        assert refused.value.field == name


def test_a_refusal_of_the_method_is_said():
    with pytest.raises(Refused, match=r"^Not measured: .+\.$"):
        rules.measured(reading_of(entry(scale_points=[])), SIZE, {})


def test_a_measurement_is_what_the_method_gives_for_the_same_numbers():
    reading = reading_of(
        entry(scale_in_plane=True, tilt_deg=10, depth_mm=2, click_px=2, scale_mm=0.2)
    )
    exif = {"focal_35mm": 50}
    straight = method.measure(
        method.MeasureKind.LENGTH,
        rules.scale_of(PICKS),
        np.array([[1, 2], [3, 4.5]]),
        errors=method.Errors(2.0, 0.2, 10.0, 2.0, rules.lens_of(50, SIZE)),
        scale_in_plane=True,
        picture_size=SIZE,
    )
    assert rules.answer_to(reading, SIZE, exif) == straight
    kept = rules.measured(reading, SIZE, exif)
    assert kept["quantities"][0]["value"] == straight.quantities[0].value
    assert (kept["interval"], kept["residual_mm"]) == (straight.interval, straight.residual_mm)
    assert kept["warnings"] == list(straight.warnings)
    assert (kept["plane"], kept["tilt_deg"], kept["depth_mm"]) == (
        "in the plane of the scale",
        10,
        2,
    )
    flat = reading_of(entry(scale_kind="right-angled", scale_points=FOUR))
    assert {"tilt_deg", "depth_mm"}.isdisjoint(rules.result_of(flat, straight))


def test_places_in_whole_numbers_are_reckoned_with_as_floats():
    scale = rules.scale_of([{"px": [1, 2], "mm": [0, 0]}, {"px": [4, 6], "mm": [10, 0]}])
    assert scale.picture.dtype == scale.known.dtype == float


def test_a_scale_beside_the_plane_of_the_lesion_is_refused():
    told = {"scale_kind": "right-angled", "scale_points": FOUR}
    refusal = "the scale does not lie in the plane of what is measured: no size can be given"
    for said, refused in ((True, False), (False, True), (None, True)):
        answer = rules.answer_to(reading_of(entry(**told, scale_in_plane=said)), SIZE, {})
        assert (answer.refusal == refusal) is refused


def quantity(unit: str, low: float | None, value: float, high: float | None, name: str = "length"):
    return {"name": name, "unit": unit, "low": low, "value": value, "high": high}


@pytest.mark.parametrize(
    ("given", "words"),
    [
        (quantity("mm", 56, 58, 60), "5.8 cm (5.6 to 6.0)"),
        (quantity("mm", 57.2, 58.12, 59), "5.81 cm (5.72 to 5.90)"),
        (quantity("mm", 56.04, 58, 60.06), "5.8 cm (5.6 to 6.0)"),
        (quantity("mm2", 180, 190, 230), "1.9 cm² (1.8 to 2.3)"),
        (quantity("mm2", 180, 190, 200), "1.90 cm² (1.80 to 2.00)"),
        (quantity("deg", 44, 45.2, 46), "45° (44 to 46)"),
        (quantity("deg", 44.4, 45.2, 46.2), "45.2° (44.4 to 46.2)"),
        (quantity("mm", None, 58, None), "5.8 cm (no interval)"),
        (quantity("mm2", None, 190, None), "1.9 cm² (no interval)"),
        (quantity("deg", None, 45.4, None), "45° (no interval)"),
    ],
)
def test_a_quantity_is_as_exact_as_its_interval(given, words):
    assert rules.quantity_words(given) == words


LENGTH, AREA = quantity("mm", 56, 58, 60), quantity("mm2", 180, 190, 230, "area")


@pytest.mark.parametrize(
    ("result", "words", "condition", "tilt"),
    [
        (
            {"quantities": [LENGTH]}, "5.8 cm (5.6 to 6.0), in the plane of the scale",
            "in the plane of the scale", "",
        ),
        (
            {"quantities": [AREA, LENGTH], "tilt_deg": 20.0},
            "area 1.9 cm² (1.8 to 2.3), length 5.8 cm (5.6 to 6.0), tilt up to 20°, in the plane "
            "of the scale",
            "tilt up to 20°, in the plane of the scale", "tilt up to 20°",
        ),
        (
            {"quantities": [LENGTH], "tilt_deg": None},
            "5.8 cm (5.6 to 6.0), in the plane of the scale", "in the plane of the scale", "",
        ),
    ],
)  # fmt: skip
def test_a_result_says_its_sizes_and_under_which_condition_they_hold(
    result, words, condition, tilt
):
    assert rules.result_words(result) == words
    assert rules.condition_words(result) == condition
    assert rules.tilt_words(result) == tilt


@pytest.mark.parametrize(
    ("value", "kept"),
    [(58.04, "58.0"), (58.05, "58.1"), (58.15, "58.2"), (58, "58.0"), (0.25, "0.3")],
)
def test_a_finding_keeps_a_length_to_a_tenth_of_a_millimeter(value, kept):
    result = {"quantities": [{"value": value}, {"value": 1}]}
    assert rules.size_mm(result) == Decimal(kept)
    assert str(rules.size_mm(result)) == kept


@pytest.mark.parametrize(
    ("residual", "count", "words"),
    [
        (None, 2, "none: two points give no check"),
        (None, 4, "none: four points always fit"),
        (0.0, 5, "0.00 mm (rms of 5 points)"),
        (0.126, 6, "0.13 mm (rms of 6 points)"),
    ],
)
def test_how_well_a_scale_fits_is_said(residual, count, words):
    assert rules.residual_words(residual, count) == words


def test_a_scale_is_named_by_what_it_is():
    name, published = next(iter(PUBLISHED.items()))
    assert rules.scale_words({"scale_name": name, "scale_points": FOUR}) == published.title
    own = {"scale_name": "", "scale_points": PICKS}
    assert rules.scale_words(own) == "straight, two points 50 mm apart"
    aside = [{"mm": [10, 10]}, {"mm": [13, 14]}]
    assert rules.scale_words({"scale_name": "", "scale_points": aside}) == (
        "straight, two points 5 mm apart"
    )
    for kind, said in (("rectangle", "card of known sides"), ("", "right-angled")):
        assert rules.scale_words({"scale_name": kind, "scale_points": FOUR}) == (
            f"{said}, 4 points as stated by the person measuring"
        )


@pytest.mark.parametrize(
    ("result", "words"),
    [
        ({"interval": "x"}, "95 % interval"),
        ({"interval": "x", "tilt_deg": None}, "95 % interval"),
        (
            {"interval": "x", "tilt_deg": 12.5},
            "straight scale, limits for a camera tilted up to 12.5°",
        ),
        ({"interval": WITHHELD, "tilt_deg": 12.5}, WITHHELD),
    ],
)
def test_what_stands_in_the_parentheses_is_said(result, words):
    assert rules.interval_words(result) == words
