"""Synthetic photographs for the demonstration office, made by code alone.

No person, place or object in them is real. The same kind, seed, size and options give the same
bytes. Skin and object pictures carry a scale drawn true to `truth["mm_per_px"]`, so that a
measurement on the picture can be checked against `truth`.
"""

import io
import zlib
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from fractions import Fraction
from typing import Any

import numpy as np
from PIL import Image, TiffImagePlugin

from .picture_canvas import Canvas
from .picture_clothing import clothing
from .picture_collision import scene_road
from .picture_figures import face_mannequin, hand_mannequin, overview_mannequin
from .picture_injuries import INJURIES, paint_injury
from .picture_interiors import (
    scene_armchair,
    scene_bedroom_crib,
    scene_cabin,
    scene_day_room,
    scene_hall,
)
from .picture_labels import lay_tag
from .picture_objects import identification_tag, property_items
from .picture_outdoors import scene_field, scene_river, scene_weir
from .picture_places import scene_moor, scene_yard
from .picture_rooms import scene_burnt_room, scene_kitchen, scene_room
from .picture_skin import TONES
from .picture_vessels import medication, specimen_tubes

DESCRIPTION = "Synthetic picture"
_FIRST_TAKEN_AT = "2026:01:05 08:00:00"
_EXIF_TIME = "%Y:%m:%d %H:%M:%S"

Painter = Callable[..., dict[str, Any]]
_FIGURES: dict[str, Painter] = {
    "overview_mannequin": overview_mannequin,
    "face_mannequin": face_mannequin,
    "hand_mannequin": hand_mannequin,
}
_OBJECTS: dict[str, Painter] = {
    "clothing": clothing,
    "property": property_items,
    "medication": medication,
    "specimen_tubes": specimen_tubes,
    "identification_tag": identification_tag,
}
_SCENES: dict[str, Painter] = {
    "scene_room": scene_room,
    "scene_kitchen": scene_kitchen,
    "scene_burnt_room": scene_burnt_room,
    "scene_bedroom_crib": scene_bedroom_crib,
    "scene_river": scene_river,
    "scene_weir": scene_weir,
    "scene_road": scene_road,
    "scene_field": scene_field,
    "scene_armchair": scene_armchair,
    "scene_day_room": scene_day_room,
    "scene_cabin": scene_cabin,
    "scene_hall": scene_hall,
    "scene_yard": scene_yard,
    "scene_moor": scene_moor,
}
KINDS: tuple[str, ...] = (*INJURIES, *_FIGURES, *_OBJECTS, *_SCENES)
TONE_COUNT = len(TONES)

# Where the tag stands clear of what the picture shows.
_TAG_CORNER = {"specimen_tubes": "bottom_right"}

# Exif 2.32 (CIPA DC-008) tag numbers: those of the main directory, then of the Exif one.
_MAIN_TAGS = {
    "ImageDescription": 0x010E,
    "Make": 0x010F,
    "Model": 0x0110,
    "Orientation": 0x0112,
    "Software": 0x0131,
    "DateTime": 0x0132,
    "Artist": 0x013B,
    "Copyright": 0x8298,
}
_CAMERA_TAGS = {
    "ExposureTime": 0x829A,
    "FNumber": 0x829D,
    "PhotographicSensitivity": 0x8827,
    "DateTimeOriginal": 0x9003,
    "DateTimeDigitized": 0x9004,
    "OffsetTimeOriginal": 0x9011,
    "FocalLength": 0x920A,
    "BodySerialNumber": 0xA431,
    "LensModel": 0xA434,
}
_EXIF_DIRECTORY = 0x8769


@dataclass(frozen=True)
class Picture:
    """A rendered picture and what is true about it."""

    kind: str
    seed: int
    image: Image.Image
    truth: dict[str, Any] = field(repr=False)

    def jpeg(self, quality: int = 88, exif: Mapping[str, Any] | None = None) -> bytes:
        """Baseline JPEG bytes with Exif; exif adds or replaces tags by their Exif names.

        Times may be datetimes. The description always says that the picture is synthetic.
        Raises ValueError for a tag name that is not known here.
        """
        buffer = io.BytesIO()
        self.image.save(
            buffer,
            "JPEG",
            quality=quality,
            subsampling="4:2:0",
            progressive=False,
            optimize=False,
            exif=_exif(self.seed, exif or {}),
        )
        return buffer.getvalue()


def _exif(seed: int, wanted: Mapping[str, Any]) -> Image.Exif:
    """The Exif block; unknown names are refused so that a slip does not vanish."""
    taken_at = datetime.strptime(_FIRST_TAKEN_AT, _EXIF_TIME) + timedelta(minutes=seed % 500_000)
    values: dict[str, Any] = {
        "ImageDescription": DESCRIPTION,
        "Make": "Tarn",
        "Model": "Synthetic camera",
        "Orientation": 1,
        "DateTimeOriginal": taken_at,
        "ExposureTime": Fraction(1, 125),
        "FNumber": Fraction(8, 1),
        "PhotographicSensitivity": 200,
        "FocalLength": Fraction(60, 1),
    }
    values.update(wanted)
    values.setdefault("DateTimeDigitized", values["DateTimeOriginal"])
    values.setdefault("DateTime", values["DateTimeOriginal"])
    if DESCRIPTION not in values["ImageDescription"]:
        values["ImageDescription"] = f"{DESCRIPTION}: {values['ImageDescription']}"
    block = Image.Exif()
    camera = block.get_ifd(_EXIF_DIRECTORY)
    for name, value in values.items():
        written = _written(value)
        if name in _MAIN_TAGS:
            block[_MAIN_TAGS[name]] = written
        elif name in _CAMERA_TAGS:
            camera[_CAMERA_TAGS[name]] = written
        else:
            known = ", ".join(sorted({*_MAIN_TAGS, *_CAMERA_TAGS}))
            raise ValueError(f"Unknown Exif tag {name}; known are {known}")
    return block


def _written(value: Any) -> Any:
    """A value as the Exif writer takes it: text for times, rationals for fractions."""
    if isinstance(value, datetime):
        return value.strftime(_EXIF_TIME)
    if isinstance(value, Fraction | float):
        exact = Fraction(value).limit_denominator(10_000)
        return TiffImagePlugin.IFDRational(exact.numerator, exact.denominator)
    return value


def render(
    kind: str,
    *,
    seed: int,
    width: int = 2400,
    height: int = 1600,
    label: str = "",
    scale: bool = True,
    **options: Any,
) -> Picture:
    """Paint a synthetic photograph of a kind listed in KINDS.

    label is the text of the case tag; parts divided by "·" stand on lines of their own. Options
    are those of the kind: tone (0 to 5), angle, length_mm, width_mm, scale_form, view and so on.
    Raises ValueError for an unknown kind, tone or size, TypeError for an option of another kind.

    truth holds mm_per_px, outline_px, length_mm, width_mm, length_px (marks on skin), parts (one
    entry for each mark) and scale (its form, turn and arms); scenes have no size and no scale.
    """
    if kind not in KINDS:
        raise ValueError(f"Unknown kind of picture {kind}; known are {', '.join(KINDS)}")
    if min(width, height) < 120 or max(width, height) > 8000:
        raise ValueError("width and height must be from 120 to 8000 pixels")
    if not 0 <= options.get("tone", 0) < TONE_COUNT:
        raise ValueError(f"tone must be from 0 to {TONE_COUNT - 1}")
    if label and kind in ("identification_tag", "specimen_tubes"):
        options.setdefault("case_number", label.split("·")[0].strip())
    rng = np.random.default_rng([seed, zlib.crc32(kind.encode())])
    canvas = Canvas(width, height, rng, fit="cover" if kind in _SCENES else "contain")
    if kind in INJURIES:
        truth = paint_injury(canvas, kind, scale=scale, **options)
    elif kind in _SCENES:
        truth = _SCENES[kind](canvas, **options)
    else:
        truth = (_FIGURES | _OBJECTS)[kind](canvas, scale=scale, **options)
    if label:
        truth["tag_box_px"] = lay_tag(canvas, label, _TAG_CORNER.get(kind, "top_right"))
    canvas.finish(vignette=0.16)
    return Picture(kind, seed, canvas.image, truth)
