"""Placing a mark by words: the fields, beside those of the distances, and the mark they mean."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import Any
from uuid import UUID, uuid5

from django import forms

from findings.body.by_words import WAYS
from findings.body.regions import REGIONS
from findings.chart.by_words import (
    KINDS,
    DrawnByWords,
    PlaceRefused,
    Said,
    mark_by_words,
    region_named,
)
from findings.models import Examination
from me_office.shell.forms import OfficeForm
from me_office.shell.suggested import SuggestedInput
from me_office.worded import as_choices

MIDLINES = [
    ("", "not measured"),
    ("right of anterior", "right of the anterior midline"),
    ("left of anterior", "left of the anterior midline"),
    ("in anterior", "in the anterior midline"),
    ("right of posterior", "right of the posterior midline"),
    ("left of posterior", "left of the posterior midline"),
    ("in posterior", "in the posterior midline"),
]
PLACE_NAMES = (
    "place_region",
    "place_kind",
    "place_length_cm",
    "place_width_cm",
    "place_way",
    "place_nearest",
)
DISTANCE_NAMES = ("above_heel_cm", "midline_cm", "midline_where")
PLACE_LABELS = {
    "place_region": "Region, with its side",
    "place_kind": "Mark",
    "place_length_cm": "Length of the mark",
    "place_width_cm": "Width of the mark",
    "place_way": "Its length runs",
    "place_nearest": "Place it at the nearest spot of the region",
    "above_heel_cm": "Above the heel",
    "midline_cm": "From the midline",
    "midline_where": "Side",
}
PLACE_UNITS = dict.fromkeys(
    ("place_length_cm", "place_width_cm", "above_heel_cm", "midline_cm"), "cm"
)


@dataclass(frozen=True)
class ChartBody:
    """The body on whose drawing a mark is placed; its length is None where it was not measured."""

    key: str
    crown_heel_cm: float | None

    @classmethod
    def of(cls, examination: Examination) -> ChartBody:
        """The body of an examination."""
        length = examination.crown_heel_cm
        return cls(examination.chart_body, float(length) if length else None)


def distance_fields() -> tuple[forms.DecimalField, forms.DecimalField, forms.ChoiceField]:
    """How far above the heel and from which midline, as measured."""
    height = forms.DecimalField(required=False, min_value=0, max_value=300, decimal_places=1)
    across = forms.DecimalField(required=False, min_value=0, max_value=150, decimal_places=1)
    return height, across, forms.ChoiceField(required=False, choices=MIDLINES)


def region_field() -> forms.CharField:
    """The region with its side, by any of its words."""
    return forms.CharField(
        required=False,
        max_length=80,
        widget=SuggestedInput([one.term for one in REGIONS.values()]),
        help_text="Type a part of its name and choose: right inguinal region.",
    )


def kind_field() -> forms.ChoiceField:
    """What is drawn there."""
    return forms.ChoiceField(required=False, choices=as_choices(KINDS))


def way_field() -> forms.ChoiceField:
    """Which way a line, or the longer axis of an area, runs on the body."""
    return forms.ChoiceField(required=False, choices=[("", "not said"), *((w, w) for w in WAYS)])


def nearest_field() -> forms.BooleanField:
    """Whether the nearest spot of the region is taken; shown where the distances lie beside it."""
    return forms.BooleanField(required=False)


def size_field() -> forms.DecimalField:
    """How large the mark is, in cm."""
    return forms.DecimalField(
        required=False, min_value=Decimal("0.1"), max_value=200, decimal_places=1
    )


def check_distance(form: forms.BaseForm) -> None:
    """A distance from the midline needs its side, and a side its distance."""
    distance = form.cleaned_data.get("midline_cm")
    where = form.cleaned_data.get("midline_where") or ""
    if distance is not None and not where:
        form.add_error("midline_where", "Say on which side of which midline.")
    if distance is None and where and not where.startswith("in "):
        form.add_error("midline_cm", "Give the distance.")


def midline_of(where: str) -> tuple[str, str]:
    """The side and the midline of one of MIDLINES: ("right", "anterior")."""
    side, _, midline = where.partition(" of ") if " of " in where else where.partition(" ")
    return side, midline


def signed(distance: Decimal | None, side: str) -> Decimal | None:
    """Return a distance from the midline, positive to the left."""
    if side == "in":
        return Decimal(0)
    if distance is None:
        return None
    return distance if side == "left" else -distance


def drawn_by_words(form: Any, on: ChartBody, *, kept: bool, shown: str = "") -> DrawnByWords | None:
    """The mark that a form's words mean; None where none is named or something is wrong.

    `kept` says whether the distances stay with a finding as measured. What is wrong stands beside
    its field. `form.offers_nearest` tells whether the nearest
    spot of the region can be taken instead.
    """
    typed = form.cleaned_data
    form.offers_nearest = bool(typed.get("place_nearest"))
    wrong = {*PLACE_NAMES, *DISTANCE_NAMES} & set(form.errors)
    if wrong or not typed.get("place_region"):
        return None
    side, midline = midline_of(typed.get("midline_where") or "")
    try:
        said = Said(
            region=region_named(typed["place_region"]).key,
            kind=typed.get("place_kind") or KINDS[0],
            length_cm=_number(typed.get("place_length_cm")),
            width_cm=_number(typed.get("place_width_cm")),
            way=typed.get("place_way") or "",
            above_heel_cm=_number(typed.get("above_heel_cm")),
            from_midline_cm=_number(signed(typed.get("midline_cm"), side)),
            midline=midline,
        )
        return mark_by_words(
            on.key, on.crown_heel_cm, said, shown=shown, nearest=form.offers_nearest, kept=kept
        )
    except PlaceRefused as refused:
        form.offers_nearest = refused.has_nearest
        form.add_error(refused.field, refused.message)
        return None


def _number(value: Decimal | None) -> float | None:
    return None if value is None else float(value)


def mark_of(record_id: UUID, drawn: DrawnByWords) -> dict[str, Any]:
    """A drawn mark as a new finding takes it; a form that is sent again sends the same one."""
    key = uuid5(record_id, "placed by words")
    return {"id": key, "view": drawn.view, "kind": str(drawn.kind), "points": drawn.points}


class ByWordsForm(OfficeForm):
    """The words and the distances by which one mark is placed on a body's drawing."""

    place_region = region_field()
    place_kind = kind_field()
    place_length_cm = size_field()
    place_width_cm = size_field()
    place_way = way_field()
    place_nearest = nearest_field()
    above_heel_cm, midline_cm, midline_where = distance_fields()
    labels = PLACE_LABELS
    units = PLACE_UNITS

    def __init__(self, *args: Any, on: ChartBody, shown: str = "", **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.on, self.shown = on, shown
        self.drawn: DrawnByWords | None = None


class PlaceForm(ByWordsForm):
    """Words and distances alone: what the chart asks before anything is saved."""

    # Sent by a form that keeps the distances as measured.
    keeps_distances = forms.BooleanField(required=False, widget=forms.HiddenInput)

    def clean(self) -> dict[str, Any] | None:
        """Find the mark that the words mean."""
        cleaned = super().clean()
        check_distance(self)
        if not self.cleaned_data.get("place_region") and "place_region" not in self.errors:
            self.add_error("place_region", "Name the region.")
        kept = bool(self.cleaned_data.get("keeps_distances"))
        self.drawn = drawn_by_words(self, self.on, kept=kept, shown=self.shown)
        return cleaned
