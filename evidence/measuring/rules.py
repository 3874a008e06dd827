"""What can be measured, how it is read out of a request, and how a result is said. Pure."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass
from decimal import ROUND_HALF_UP, Decimal
from enum import StrEnum
from typing import Any

import numpy as np

from findings.calculations import photo_assumptions as assumed
from findings.calculations import photo_measurement as method
from findings.calculations.photo_measurement import Errors, MeasureKind, Scale
from findings.calculations.photo_plane import MOST_OBJECT_POINTS, MOST_REFERENCE_POINTS
from findings.calculations.photo_scales import PUBLISHED
from findings.calculations.straight_scale import LEAST_TILT_DEG, MOST_TILT_DEG, lens_of
from me_office.audit.errors import Refused
from me_office.entries import Entry

IN_PLANE = "in the plane of the scale"
LONGEST_MM = 5000.0
LARGEST_PX = 200_000.0
# A camera raw file has no picture of its own: what is seen is a preview, cut by each program.
PICTURES = {"image/jpeg", "image/png", "image/tiff", "image/heic", "image/webp"}
NO_PICTURE = (
    "A camera raw file cannot be measured here, because its picture depends on how it is "
    "developed. Add the camera's JPEG or a developed TIFF as well, and measure that."
)


class ScaleKind(StrEnum):
    """How the scale corrects the view."""

    STRAIGHT = "straight"
    RIGHT_ANGLED = "right-angled"


class Dimension(StrEnum):
    """Which size of a finding a measurement gives."""

    LENGTH = "length"
    WIDTH = "width"


class CopyKind(StrEnum):
    """What was done to a copy."""

    MARKED = "marked"
    RECTIFIED = "rectified"
    CROPPED = "cropped"


@dataclass(frozen=True)
class Reading:
    """What the person picked and said: everything that the method is given."""

    kind: MeasureKind
    scale_kind: ScaleKind
    scale_name: str
    scale_points: tuple[dict[str, Any], ...]  # label, px [x, y], mm [x, y]
    points: tuple[tuple[float, float], ...]
    in_plane: bool
    click_px: float
    scale_mm: float
    tilt_deg: float
    depth_mm: float

    @property
    def straight(self) -> bool:
        """Whether the scale cannot show how the camera was tilted."""
        return self.scale_kind is ScaleKind.STRAIGHT

    def inputs(
        self, *, size: tuple[int, int], exif: Mapping[str, Any], sha256: str
    ) -> dict[str, Any]:
        """The reading as it is kept, with the picture that it belongs to."""
        published = PUBLISHED.get(self.scale_name)
        return {
            "scale_name": self.scale_name,
            "scale_source": published.source if published else "as stated by the person measuring",
            "scale_points": list(self.scale_points),
            "scale_in_plane": self.in_plane,
            "click_px": self.click_px,
            "scale_mm": self.scale_mm,
            "tilt_deg": self.tilt_deg if self.straight else None,
            "depth_mm": self.depth_mm if self.straight else None,
            "focal_35mm": exif.get("focal_35mm"),
            "picture_px": list(size),
            "orientation": exif.get("orientation", 1),
            "photograph_sha256": sha256,
        }


def reading_of(entry: Entry) -> Reading:
    """Check what a page or the API sent. Raises Refused with the field."""
    try:
        kind = MeasureKind(entry.get("kind", ""))
    except ValueError:
        raise Refused("Choose length, polyline, area or angle.", field="kind") from None
    try:
        scale_kind = ScaleKind(entry.get("scale_kind", ""))
    except ValueError:
        raise Refused("Choose the kind of scale.", field="scale_kind") from None
    given = _list(entry.get("scale_points", []), "scale_points", most=MOST_REFERENCE_POINTS)
    picks = tuple(_scale_point(one) for one in given)
    if scale_kind is ScaleKind.STRAIGHT and len(picks) > 2:
        raise Refused("A straight scale has two points.", field="scale_points")
    if scale_kind is ScaleKind.RIGHT_ANGLED and len(picks) < 4:
        raise Refused("no scale yet: pick four or more of its points", field="scale_points")
    points = _list(entry.get("points", []), "points", most=MOST_OBJECT_POINTS)
    return Reading(
        kind=kind,
        scale_kind=scale_kind,
        scale_name=str(entry.get("scale_name", ""))[:40],
        scale_points=picks,
        points=tuple(_pair(one, "points", LARGEST_PX) for one in points),
        in_plane=entry.get("scale_in_plane") is True,
        click_px=_number(entry.get("click_px", 1.0), "click_px", 0.1, 100),
        scale_mm=_number(entry.get("scale_mm", 0.1), "scale_mm", 0, 10),
        tilt_deg=_number(
            entry.get("tilt_deg", MOST_TILT_DEG), "tilt_deg", LEAST_TILT_DEG, MOST_TILT_DEG
        ),
        depth_mm=_number(entry.get("depth_mm", method.DEFAULT_DEPTH_MM), "depth_mm", 0, 100),
    )


def _list(value: Any, field: str, *, most: int) -> Sequence[Any]:
    if not isinstance(value, list | tuple):
        raise Refused("Send a list of points.", field=field)
    if len(value) > most:
        raise Refused(f"Up to {most} points.", field=field)
    return value


def _scale_point(given: Any) -> dict[str, Any]:
    if not isinstance(given, Mapping):
        raise Refused("Each point of the scale needs px and mm.", field="scale_points")
    return {
        "label": str(given.get("label", ""))[:60],
        "px": list(_pair(given.get("px"), "scale_points", LARGEST_PX)),
        "mm": list(_pair(given.get("mm"), "scale_points", LONGEST_MM)),
    }


def _pair(value: Any, field: str, most: float) -> tuple[float, float]:
    if not isinstance(value, list | tuple) or len(value) != 2:
        raise Refused("Each point is a pair of numbers.", field=field)
    return _number(value[0], field, -most, most), _number(value[1], field, -most, most)


def _number(value: Any, field: str, low: float, high: float) -> float:
    if isinstance(value, bool) or not isinstance(value, int | float) or not math.isfinite(value):
        raise Refused("A number is needed.", field=field)
    if not low <= value <= high:
        raise Refused(f"Between {low:g} and {high:g}.", field=field)
    return float(value)


def check_picture(media_type: str) -> None:
    """Refuse a file that holds no picture of its own. Raises Refused."""
    if media_type not in PICTURES:
        raise Refused(NO_PICTURE)


def upright_size(width_px: int, height_px: int, orientation: int) -> tuple[int, int]:
    """The picture's size as it is seen; Exif orientations 5 to 8 lie on their side."""
    return (height_px, width_px) if orientation >= 5 else (width_px, height_px)


def scale_of(picks: Sequence[Mapping[str, Any]]) -> Scale | None:
    """The scale as the method takes it; None while points are lacking."""
    if len(picks) < 2:
        return None
    picture = np.array([pick["px"] for pick in picks], float)
    return Scale(picture, np.array([pick["mm"] for pick in picks], float))


def answer_to(reading: Reading, size: tuple[int, int], exif: Mapping[str, Any]) -> method.Answer:
    """Measure; the answer may be a refusal with its reason."""
    points = np.array(reading.points, float).reshape(-1, 2)
    return method.measure(
        reading.kind,
        scale_of(reading.scale_points),
        points,
        errors=Errors(
            reading.click_px,
            reading.scale_mm,
            reading.tilt_deg,
            reading.depth_mm,
            lens_of(exif.get("focal_35mm"), size),
        ),
        scale_in_plane=reading.in_plane,
        picture_size=size,
    )


def measured(reading: Reading, size: tuple[int, int], exif: Mapping[str, Any]) -> dict[str, Any]:
    """The result to keep. Raises Refused, and for a point outside the picture."""
    for field, places in (
        ("scale_points", [tuple(pick["px"]) for pick in reading.scale_points]),
        ("points", reading.points),
    ):
        if any(not (0 <= x <= size[0] and 0 <= y <= size[1]) for x, y in places):
            raise Refused("A point lies outside the picture.", field=field)
    answer = answer_to(reading, size, exif)
    if answer.refusal:
        raise Refused(f"Not measured: {answer.refusal}.")
    return result_of(reading, answer)


def result_of(reading: Reading, answer: method.Answer) -> dict[str, Any]:
    """An answer as plain values; of a straight scale with the tilt that its limits allow for."""
    allowed = {"tilt_deg": reading.tilt_deg, "depth_mm": reading.depth_mm}
    return {
        "quantities": [asdict(each) for each in answer.quantities],
        "residual_mm": answer.residual_mm,
        "warnings": list(answer.warnings),
        "interval": answer.interval,
        "plane": IN_PLANE,
        **(allowed if reading.straight else {}),
    }


def quantity_words(quantity: Mapping[str, Any]) -> str:
    """A quantity with its interval, as exact as the interval allows: 5.8 cm (5.6 to 6.0)."""
    factor, unit = {"mm": (0.1, " cm"), "mm2": (0.01, " cm²"), "deg": (1.0, "°")}[quantity["unit"]]
    if quantity["low"] is None:
        return f"{quantity['value'] * factor:.{0 if unit == '°' else 1}f}{unit} (no interval)"
    low, value, high = (quantity[name] * factor for name in ("low", "value", "high"))
    digits = 1 if round(high - low, 9) >= 0.4 else 2
    if unit == "°":
        digits = 0 if round(high - low, 9) >= 2 else 1
    return f"{value:.{digits}f}{unit} ({low:.{digits}f} to {high:.{digits}f})"


def result_words(result: Mapping[str, Any]) -> str:
    """All quantities in words: area 1.9 cm² (1.8 to 2.0), perimeter ..., in the plane ..."""
    quantities = result["quantities"]
    if len(quantities) == 1:
        parts = [quantity_words(quantities[0])]
    else:
        parts = [f"{each['name']} {quantity_words(each)}" for each in quantities]
    return ", ".join([*parts, condition_words(result)])


def tilt_words(result: Mapping[str, Any]) -> str:
    """Up to which tilt a straight scale's limits hold; empty for every other scale."""
    tilt = result.get("tilt_deg")
    return f"tilt up to {tilt:g}°" if tilt else ""


def condition_words(result: Mapping[str, Any]) -> str:
    """Under which condition a size holds: tilt up to 20°, in the plane of the scale."""
    return ", ".join(part for part in (tilt_words(result), IN_PLANE) if part)


def interval_words(result: Mapping[str, Any]) -> str:
    """What stands in the parentheses, in a sentence of the report."""
    if assumed.is_withheld(result):
        return assumed.WITHHELD
    tilt = result.get("tilt_deg")
    if tilt:
        return f"straight scale, limits for a camera tilted up to {tilt:g}°"
    return "95 % interval"


def scale_words(inputs: Mapping[str, Any]) -> str:
    """Name the scale: two points 50 mm apart, a published one, or marks that a person stated."""
    published = PUBLISHED.get(inputs["scale_name"])
    if published:
        return published.title
    picks = inputs["scale_points"]
    if len(picks) == 2:
        (x, y), (to_x, to_y) = picks[0]["mm"], picks[1]["mm"]
        return f"straight, two points {math.hypot(to_x - x, to_y - y):g} mm apart"
    kind = "card of known sides" if inputs["scale_name"] == "rectangle" else "right-angled"
    return f"{kind}, {len(picks)} points as stated by the person measuring"


def size_mm(result: Mapping[str, Any]) -> Decimal:
    """The length as a finding keeps it, to a tenth of a millimeter."""
    value = Decimal(repr(result["quantities"][0]["value"]))
    return value.quantize(Decimal("0.1"), ROUND_HALF_UP)


def residual_words(residual_mm: float | None, count: int) -> str:
    """How well the scale's points fit one plane."""
    if residual_mm is None:
        return "none: two points give no check" if count == 2 else "none: four points always fit"
    return f"{residual_mm:.2f} mm (rms of {count} points)"
