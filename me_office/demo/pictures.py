"""Synthetic photographs for the demonstration office, made by code alone.

No person, place or object in them is real. The same kind, seed, size and options give the same
bytes. Skin and object pictures carry a scale drawn true to `truth["mm_per_px"]`, so that a
measurement on the picture can be checked against `truth`.
"""

import io
import zlib
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from fractions import Fraction
from typing import Any

import numpy as np
from PIL import Image

from .picture_canvas import Canvas
from .picture_injuries import INJURIES, paint_injury
from .picture_labels import lay_tag
from .picture_skin import TONES

DESCRIPTION = "Synthetic picture"
_FIRST_TAKEN_AT = datetime(2026, 1, 5, 8, 0)  # noqa: DTZ001 - Exif times carry no zone
