"""What the courtroom screen shows of an exhibit: its pictures, and what may be drawn over them."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any
from uuid import UUID

from cases.exhibits.mark_rules import drawn_shape
from cases.exhibits.models import CourtMark, Exhibit, ExhibitPicture, ExhibitSet, Redaction
from cases.models import Case
from evidence.measuring.drawing import drawn_lines, line_sizes
from evidence.measuring.models import Measurement
from evidence.photographs.models import Photograph
from evidence.photographs.outlines import Overlay, overlay_of, upright_size
from me_office.accounts.models import Staff


@dataclass(frozen=True)
class ShownPicture:
    """A photograph of an exhibit with what is drawn over it when somebody asks.

    `drawn` is what was measured; `lines` holds the upright picture's sides and the sizes of words
    and ends; `overlay` the outlined findings.
    """

    shown: ExhibitPicture
    drawn: list[Any]
    lines: dict[str, Any]
    overlay: Overlay

    @property
    def photograph(self) -> Photograph:
        """The photograph whose original or redacted copy is shown."""
        return self.shown.photograph


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
    shown = [photograph.pk for one in exhibits for photograph in one.photographs]
    rows = Measurement.objects.active().filter(photograph__in=shown)
    measured: dict[UUID, list[Measurement]] = {}
    for row in rows.order_by("number"):
        measured.setdefault(row.photograph_id, []).append(row)
    return [
        Presented(
            one, [_picture(each, measured.get(each.photograph.pk, [])) for each in one.pictures]
        )
        for one in exhibits
    ]


def _picture(shown: ExhibitPicture, measured: Sequence[Measurement]) -> ShownPicture:
    photograph = shown.photograph
    width, height = upright_size(photograph)
    return ShownPicture(
        shown=shown,
        drawn=[drawn_lines(one, width, height) for one in measured],
        lines={"width": width, "height": height, **line_sizes(width, height)},
        overlay=overlay_of(photograph, photograph.active_links, part=f"-{photograph.pk}"),
    )


@dataclass(frozen=True)
class Note:
    """What a witness is asked next about an exhibit: answers under what they are about.

    `quoted` are words of the report, each with where they stand and what became of them since.
    """

    title: str
    answers: tuple[str, ...]
    quoted: tuple[tuple[str, str, tuple[str, ...]], ...] = ()


# What is read of a set for its witness's window alone, by exhibit.
Notes = Callable[[Staff, Case, ExhibitSet], Mapping[UUID, Sequence[Note]]]
_NOTES: dict[str, Notes] = {}


def register_notes(key: str, notes: Notes) -> None:
    """Add what a witness reads beside the courtroom screen; the same key again replaces it."""
    _NOTES[key] = notes


def notes_of(actor: Staff, case: Case, exhibit_set: ExhibitSet) -> dict[UUID, list[Note]]:
    """Return, by exhibit, what its witness may read beside the courtroom screen."""
    found: dict[UUID, list[Note]] = {}
    for notes in _NOTES.values():
        for key, said in notes(actor, case, exhibit_set).items():
            found.setdefault(key, []).extend(said)
    return found


@dataclass(frozen=True)
class DrawnMark:
    """A mark made in court, as it is drawn over its upright picture of so many points.

    `otherwise` says why the exhibit's picture is not what the court saw; empty where it is.
    """

    mark: CourtMark
    otherwise: str
    width: int
    height: int
    shapes: list[dict[str, str]]


def drawn_marks(exhibit: Exhibit, marks: Sequence[CourtMark]) -> list[DrawnMark]:
    """Return each mark of an exhibit with its shapes.

    No statement, for an exhibit as `exhibit_of` reads it and marks as `marks_on` does.
    """
    drawn = []
    standing = {one.photograph.pk: one.redaction for one in exhibit.pictures}
    for mark in marks:
        width, height = upright_size(mark.photograph)
        shapes = [drawn_shape(stroke, width, height) for stroke in mark.strokes]
        drawn.append(DrawnMark(mark, _otherwise(mark, standing), width, height, shapes))
    return drawn


def _otherwise(mark: CourtMark, standing: Mapping[UUID, Redaction | None]) -> str:
    if mark.photograph_id not in standing:
        return "The exhibit no longer shows this photograph."
    now = standing[mark.photograph_id]
    if mark.redaction_id == (now.pk if now else None):
        return ""
    if not mark.redaction_id:
        return "The exhibit now shows a redacted copy of this photograph."
    if now:
        return "The exhibit now shows another redacted copy."
    return "The redaction was withdrawn. The exhibit now shows the photograph in full."
