"""Photographic scales of published dimensions: where their graduations lie on the plane.

Only graduations are offered, not corners and circles: in a review of four makers the lengths of
scales held, while circles and right angles of the frame often did not (Ferrucci M et al.,
Dimensional review of scales for forensic photography, J Forensic Sci 2016;61:509-519, abstract
seen). A scale in use should be measured now and then; its own sheet goes before this table.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class ScalePoint:
    """One point of a scale that can be picked: its name and its place in millimeters."""

    label: str
    x_mm: float
    y_mm: float


@dataclass(frozen=True)
class PublishedScale:
    """A scale, its points, how exact it is made, and where this was read."""

    name: str
    title: str
    points: tuple[ScalePoint, ...]
    error_mm: float
    source: str


def _arms(*graduations: float) -> tuple[ScalePoint, ...]:
    """Graduations along both inner edges, counted from the corner where the edges meet."""
    first = tuple(ScalePoint(f"{mm:g} mm, first arm", mm, 0.0) for mm in graduations)
    second = tuple(ScalePoint(f"{mm:g} mm, second arm", 0.0, mm) for mm in graduations)
    return first + second


# Arms of 80 mm, 0.1 mm: from a supplier's public specification and a glossary of the trade. The
# last centimeter is left out, because the arm may end short of its 80 mm line (105 - 25.4 mm).
ABFO_NO_2 = PublishedScale(
    name="abfo_no_2",
    title="Right-angled scale, ABFO No. 2",
    points=_arms(10, 40, 70),
    error_mm=0.1,
    source="Hyzer WG, Krauss TC. The bite mark standard reference scale - ABFO No. 2. "
    "J Forensic Sci 1988;33:498-506 (from memory)",
)
PUBLISHED = {ABFO_NO_2.name: ABFO_NO_2}


def rectangle(width_mm: float, height_mm: float) -> tuple[ScalePoint, ...]:
    """The corners of a card of known sides, around from the upper left one."""
    return (
        ScalePoint("Upper left corner", 0.0, 0.0),
        ScalePoint("Upper right corner", width_mm, 0.0),
        ScalePoint("Lower right corner", width_mm, height_mm),
        ScalePoint("Lower left corner", 0.0, height_mm),
    )
