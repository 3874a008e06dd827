"""What an exhibit answers, filled where it does not matter to a test."""

from __future__ import annotations

from dataclasses import fields, is_dataclass, replace
from datetime import UTC, datetime
from types import UnionType
from typing import Any, get_args, get_origin, get_type_hints
from uuid import UUID

from cases.witness.answers import (
    CountAnswer,
    ExhibitAnswers,
    FindingAnswer,
    LayerAnswer,
    MeaningAnswer,
    MeasuredAnswer,
    PassageAnswer,
    PictureAnswer,
    Said,
    SizeAnswer,
)

SILENT = Said("Not recorded.", recorded=False)
SIGNED_AT = datetime(2026, 11, 20, 15, 0, tzinfo=UTC)


def empty(kind: type[Any]) -> Any:
    """An answer of a kind with nothing in it: no words, no numbers, nothing recorded."""
    if kind is Said:
        return SILENT
    if get_origin(kind) is UnionType:
        return None if type(None) in get_args(kind) else empty(get_args(kind)[0])
    if get_origin(kind) is tuple:
        return ()
    if is_dataclass(kind):
        hints = get_type_hints(kind)
        return kind(**{one.name: empty(hints[one.name]) for one in fields(kind)})
    return {str: "", int: 0, bool: False, UUID: UUID(int=1), datetime: SIGNED_AT}[kind]


def one(kind: type[Any], /, **said: Any) -> Any:
    """An answer of a kind with what is said of it."""
    return replace(empty(kind), **said)


def count(where: str, words: str, at_least: int = 0) -> CountAnswer:
    return one(CountAnswer, where=where, words=words, blunt_at_least=at_least)


def layer(words: str, *, examined: bool = True) -> LayerAnswer:
    return one(LayerAnswer, words=words, examined=examined, recorded=True)


def contusion(**said: Any) -> FindingAnswer:
    """A bruise of which everything is recorded."""
    measured = one(
        MeasuredAnswer, number=2, photograph_number=9, words="11.2 cm (10.9 to 11.5)",
        leaves_out=("curved skin",), url="/m/2/",
    )  # fmt: skip
    size = one(
        SizeAnswer, size="11.0 × 6.5 cm", how=Said("by ruler"), on_photographs=(measured,),
        sentence="11.0 × 6.5 cm, by ruler.", recorded=True,
    )  # fmt: skip
    values = {
        "finding_id": UUID(int=3), "number": 3, "term": "Contusion",
        "plain": "Contusion: a bruise.", "klass": "injury", "is_injury": True,
        "klass_said": Said("Injury, blunt force."),
        "cause": "blunt force", "place": Said("Right lateral chest wall"), "size": size,
        "seen_as": Said("Purple-red."), "when": Said("Before death.", "hemorrhage in the muscle"),
        "color_caution": "Color gives no age.", "url": "/f/3/",
        "layers": (
            layer("Skin: not broken."),
            layer("Pleura: not examined.", examined=False),
        ),
        "meanings": (one(MeaningAnswer, words="Consistent with a fall."),),
        "passages": (
            one(PassageAnswer, title="Finding 3", words="A contusion.", page=2, first_line=14,
                last_line=19, signed_at=SIGNED_AT, url="/r/#3"),
        ),
        **said,
    }  # fmt: skip
    return one(FindingAnswer, **values)


def lividity(**said: Any) -> FindingAnswer:
    """A change after death."""
    values = {
        "finding_id": UUID(int=6), "number": 6, "term": "Lividity", "klass": "postmortem change",
        "klass_said": Said("A change after death."), "cause": "", "url": "/f/6/",
        "when": Said("After death.", "no hemorrhage"),
        "layers": (layer("Subcutis: no hemorrhage."),),
        **said,
    }  # fmt: skip
    return one(FindingAnswer, **values)


def picture(**said: Any) -> PictureAnswer:
    values = {
        "photograph_id": UUID(int=9), "number": 9, "shows": "Right side of the chest",
        "distance": "close", "scale": "with a scale", "taken": Said("17 Nov 2026, 09:42."),
        "taken_by": "D. Renn", "same_bytes": Said("As the camera wrote it."), "url": "/p/9/",
        "custody_url": "/c/9/", **said,
    }  # fmt: skip
    return one(PictureAnswer, **values)


def exhibit(*findings: FindingAnswer, **said: Any) -> ExhibitAnswers:
    """An exhibit with one picture, of these findings."""
    values = {
        "pictures": (picture(),), "findings": findings, "caption": "Right side of the chest",
        "body_part": Said("Right lateral chest wall."), **said,
    }  # fmt: skip
    return one(ExhibitAnswers, **values)
