"""What the interval of a size on a photograph covers and what it leaves out, in words.

The one place for it: the page that measures, the report and the packet say these lines. Which
errors there are is common practice; that none of the second list is in any number is how the
method is made.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

# Before this version a straight scale had an interval for tilts of 5 degrees, called 95 %.
TILT_SINCE = 2
WITHHELD = "no interval: measured by an earlier method that left out the camera's tilt"
WITHHELD_WARNING = (
    "measured by an earlier method whose interval left out the camera's tilt and is not shown. "
    "Measure again to get limits"
)
STRAIGHT_WARNING = (
    "straight scale: the size is that of a camera square on; the limits hold for a camera tilted "
    "up to {tilt} degrees, and not beyond"
)
TOO_WIDE = (
    "a straight scale cannot say how large this is where the camera may have been tilted up to "
    "{tilt} degrees. Say how far it can have been tilted at most, or use a scale with two arms"
)
NO_PICTURE_SIZE = "a straight scale needs the picture's width and height"

LEFT_OUT = (
    "curved skin",
    "a scale that lies at an angle to what is measured",
    "distortion by the lens",
    "a scale that was printed or copied at another size",
    "swelling, posture, and where an edge is said to be",
)


def straight_interval(tilt_deg: float) -> str:
    """What the limits of a straight scale are called."""
    return (
        f"limits, not 95 %: every tilt of the camera up to {tilt_deg:g} degrees in any direction, "
        "with 1.96 u of picking and scale"
    )


def covered(*, straight: bool, tilt_deg: float = 0.0, depth_mm: float = 0.0) -> tuple[str, ...]:
    """What the interval covers."""
    both = ("picking the points and reading the scale's ends", "the scale's own error as stated")
    if not straight:
        return (*both, "the camera's tilt, corrected by the scale's plane", "how badly points fit")
    return (
        *both,
        f"a camera tilted up to {tilt_deg:g} degrees in any direction, through any usual lens",
        f"a scale that lies up to {depth_mm:g} mm higher or lower",
    )


def left_out(*, straight: bool) -> tuple[str, ...]:
    """What the interval leaves out."""
    if not straight:
        return ("a scale that lies higher or lower than what is measured", *LEFT_OUT)
    return ("a camera tilted further", "a picture that was cropped", *LEFT_OUT)


def covered_by(result: Mapping[str, Any], *, straight: bool) -> tuple[str, ...]:
    """What the interval of a kept result covers; nothing where it is withheld."""
    if is_withheld(result):
        return ()
    return covered(
        straight=straight,
        tilt_deg=result.get("tilt_deg") or 0.0,
        depth_mm=result.get("depth_mm") or 0.0,
    )


def is_withheld(result: Mapping[str, object]) -> bool:
    """Whether a result, as `as_shown` gives it, has no interval to show."""
    return bool(result.get("interval") == WITHHELD)


def as_shown(result: Mapping[str, Any], *, straight: bool, version: str) -> dict[str, Any]:
    """A kept result as it may be shown: without an interval that did not hold what it said."""
    if not straight or int(version.split(".")[0]) >= TILT_SINCE:
        return dict(result)
    quantities = [{**each, "u": None, "low": None, "high": None} for each in result["quantities"]]
    kept = [one for one in result["warnings"] if not one.startswith("straight scale:")]
    return {
        **result,
        "quantities": quantities,
        "interval": WITHHELD,
        "warnings": [WITHHELD_WARNING, *kept],
    }
