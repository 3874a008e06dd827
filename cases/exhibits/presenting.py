"""What the courtroom screen shows of an exhibit: its pictures, and what may be drawn over them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any
from uuid import UUID

from cases.exhibits.mark_rules import drawn_shape
from cases.exhibits.models import CourtMark, Exhibit
from evidence.measuring.drawing import drawn_lines, line_sizes
from evidence.measuring.models import Measurement
from evidence.photographs.models import Photograph
from evidence.photographs.outlines import Overlay, overlay_of, upright_size


@dataclass(frozen=True)
class ShownPicture:
    """A photograph of an exhibit with what is drawn over it when somebody asks.

    `drawn` is what was measured; `lines` holds the upright picture's sides and the sizes of words
    and ends; `overlay` the outlined findings.
    """

    photograph: Photograph
    drawn: list[Any]
    lines: dict[str, Any]
    overlay: Overlay


@dataclass(frozen=True)
class Presented:
    """An exhibit as the courtroom screen shows it."""

    exhibit: Exhibit
    pictures: list[ShownPicture]

    @property
    def has_lines(self) -> bool:
        """Tell whether something was measured in one of its pictures."""
        return any(one.drawn for one in self.pictures)

    @property
    def has_outlines(self) -> bool:
        """Tell whether a finding is outlined in one of its pictures."""
        return any(one.overlay.outlined for one in self.pictures)


def presented(exhibits: Sequence[Exhibit]) -> list[Presented]:
    """Return each exhibit with what may be drawn over its pictures; one statement.

    Exhibits are read by `exhibits_to_present`.
    """
    rows = Measurement.objects.active().filter(
        photograph__in=[one.photograph_id for one in exhibits]
    )
    measured: dict[UUID, list[Measurement]] = {}
    for row in rows.order_by("number"):
        measured.setdefault(row.photograph_id, []).append(row)
    return [
        Presented(one, [_picture(one.photograph, measured.get(one.photograph_id, []))])
        for one in exhibits
    ]


def _picture(photograph: Photograph, measured: Sequence[Measurement]) -> ShownPicture:
    width, height = upright_size(photograph)
    return ShownPicture(
        photograph=photograph,
        drawn=[drawn_lines(one, width, height) for one in measured],
        lines={"width": width, "height": height, **line_sizes(width, height)},
        overlay=overlay_of(photograph, photograph.active_links, part=f"-{photograph.pk}"),
    )


@dataclass(frozen=True)
class DrawnMark:
    """A mark made in court, as it is drawn over its upright picture of so many points."""

    mark: CourtMark
    width: int
    height: int
    shapes: list[dict[str, str]]


def drawn_marks(marks: Sequence[CourtMark]) -> list[DrawnMark]:
    """Return each mark with its shapes; no statement, for marks as `marks_on` reads them."""
    drawn = []
    for mark in marks:
        width, height = upright_size(mark.photograph)
        shapes = [drawn_shape(stroke, width, height) for stroke in mark.strokes]
        drawn.append(DrawnMark(mark, width, height, shapes))
    return drawn
