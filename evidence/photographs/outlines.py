"""Findings drawn over a photograph: number, hue and hatch as on the body chart."""

from __future__ import annotations

import json
from collections.abc import Iterable
from dataclasses import dataclass
from uuid import UUID

from django.utils.safestring import SafeString, mark_safe

from evidence.photographs.models import Photograph, PhotographFinding
from findings.body.marks import CLASSES, MarkClass, hatch_pattern, num, symbol

# Exif 2.3 (CIPA DC-008), tag Orientation: from 5 on, the picture lies on its side.
LYING = range(5, 9)


@dataclass(frozen=True)
class Outlined:
    """One finding on the picture: its place in picture points, and how it is drawn."""

    number: int
    term: str
    css: str
    finding_id: UUID
    path: str
    hatch: str
    pin: tuple[str, str]
    symbol: SafeString
    points: str
    selected: bool


@dataclass(frozen=True)
class Overlay:
    """All outlines of a photograph; `unit` is the size of one screen point without scripts."""

    width: int
    height: int
    unit: str
    patterns: SafeString
    outlined: list[Outlined]

    @property
    def words(self) -> str:
        """What is drawn, for who cannot see it: Outlined: 1 Contusion, 3 Laceration."""
        return ", ".join(f"{each.number} {each.term}" for each in self.outlined)


def upright_size(photograph: Photograph) -> tuple[int, int]:
    """Return width and height as the picture is looked at, after the camera's orientation."""
    size = photograph.width_px, photograph.height_px
    lying = photograph.exif.get("orientation") in LYING
    return (size[1], size[0]) if lying else size


def overlay_of(
    photograph: Photograph,
    links: Iterable[PhotographFinding],
    *,
    selected: UUID | None = None,
    part: str = "",
) -> Overlay:
    """Return the outlines of the links that have one; `part` keeps ids apart on one page."""
    width, height = upright_size(photograph)
    drawn = [link for link in links if link.outline]
    looks = {look.key: look for look in (look_of(link) for link in drawn)}
    patterns = "".join(hatch_pattern(look, _hatch_id(look, part), 1) for look in looks.values())
    return Overlay(
        width=width,
        height=height,
        unit=num(max(width, height) / 900),
        patterns=mark_safe(patterns),  # noqa: S308 - made by our own drawing from fixed words
        outlined=[_outlined(link, width, height, selected, part) for link in drawn],
    )


def look_of(link: PhotographFinding) -> MarkClass:
    """Return hue, hatch and symbol of the finding's class."""
    return CLASSES.get(link.finding.klass.replace(" ", "_"), CLASSES["other"])


def _hatch_id(look: MarkClass, part: str) -> str:
    return f"picture-hatch-{look.key}{part}"


def _outlined(
    link: PhotographFinding, width: int, height: int, selected: UUID | None, part: str
) -> Outlined:
    look, points = look_of(link), link.outline or []
    spots = [(x * width, y * height) for x, y in points]
    area = len(points) > 2
    # The number stands at the topmost corner of an outline, so that it covers little of it.
    pin = min(spots, key=lambda spot: (spot[1], spot[0]))
    path = "M" + "L".join(f"{num(x)} {num(y)}" for x, y in spots) + "Z"
    return Outlined(
        number=link.finding.number,
        term=link.finding.term,
        css=look.css,
        finding_id=link.finding_id,
        path=path if area else "",
        hatch=f"url(#{_hatch_id(look, part)})",
        pin=(num(pin[0]), num(pin[1])),
        symbol=mark_safe("" if area else symbol(look, (0.0, 0.0), 7.0)),  # noqa: S308 - as above
        points=json.dumps(points),
        selected=link.finding_id == selected,
    )
