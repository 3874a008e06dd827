"""Where a finding lies follows from its first mark, unless somebody said or measured otherwise."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from decimal import Decimal
from typing import Any

from django.db import models

from findings.actions.entry import refuse
from findings.body.catalogue import BodyGeometryError
from findings.chart.placing import Placed, placed_by_mark, share_of_surface
from findings.models import Examination, Finding, Mark
from findings.rules import FAR_ENDS, wrong_with_mark, wrong_with_points
from me_office.accounts.models import Staff
from me_office.audit.errors import Refused
from me_office.audit.records import save_next_version
from me_office.entries import Entry

POSITION_FIELDS = ("above_heel_cm", "below_top_cm", "from_midline_cm", "midline")


def place_of_mark(examination: Examination, mark: Mark) -> Placed:
    """Derive a mark's surface point and region, and put them on it. Raises Refused."""
    wrong = wrong_with_points(mark.kind, mark.points)
    if wrong:
        raise Refused(wrong, field="points")
    refuse(
        wrong_with_mark(
            kind=mark.kind, end=mark.end, count_low=mark.count_low, count_high=mark.count_high
        )
    )
    mark.points = [[round(float(u), 2), round(float(v), 2)] for u, v in mark.points]
    placed = _placed(examination, mark)
    mark.surface_point = list(placed.surface_point) if placed.surface_point else None
    mark.region = placed.region
    share = share_of_surface(examination.chart_body, mark.view, mark.kind, mark.points)
    mark.area_percent = None if share is None else Decimal(f"{share:.2f}")
    return placed


def _placed(examination: Examination, mark: Mark) -> Placed:
    length = examination.crown_heel_cm
    try:
        placed = placed_by_mark(
            examination.chart_body,
            mark.view,
            mark.kind,
            mark.points,
            float(length) if length is not None else None,
        )
    except BodyGeometryError as error:
        raise Refused(str(error), field="view") from error
    if placed is None:
        raise Refused("The mark is outside the body. Place it on the drawing.", field="points")
    return placed


def settle_place(finding: Finding, placed: Placed | None, entry: Entry | None = None) -> bool:
    """Set place and position from the mark, or keep what was said by hand and note that it was.

    `entry` is what the person typed, None when only the mark moved. An empty field or the derived
    value itself leaves the value derived. Returns whether anything changed.
    """
    before = _placing(finding)
    typed = entry or {}
    said = (typed.get("place") or "").strip()
    if said:
        by_hand = placed is None or said != placed.place
        finding.place, finding.place_source = said, "by hand" if by_hand else "derived"
    elif "place" in typed or not finding.place:
        finding.place, finding.place_source = "", "derived" if placed else "by hand"
    if placed is not None:
        finding.region = placed.region
        if finding.place_source == "derived":
            finding.place = placed.place
    elif finding.place_source == "derived":
        # The last mark is gone: the words stay and are somebody's from now on.
        finding.place_source, finding.region = "by hand", ""
    _settle_position(finding, placed, typed)
    return _placing(finding) != before


def _settle_position(finding: Finding, placed: Placed | None, typed: Mapping[str, object]) -> None:
    derived = _derived_position(placed)
    if any(name in typed for name in POSITION_FIELDS):
        said = {name: typed.get(name) or ("" if name == "midline" else None) for name in derived}
        if typed.get("from_midline_cm") is not None:
            said["from_midline_cm"] = typed["from_midline_cm"]
        nothing = all(said[name] in (None, "") for name in derived)
        measured = not nothing and (placed is None or said != derived)
        finding.position_source = "measured" if measured else "derived"
        if measured:
            for name, value in said.items():
                setattr(finding, name, value)
            _complete_height(finding)
    if finding.position_source == "derived":
        for name, value in derived.items():
            setattr(finding, name, value)


def _complete_height(finding: Finding) -> None:
    """The two heights add up to the measured length, so one gives the other."""
    length = finding.examination.crown_heel_cm
    if length is None:
        return
    if finding.above_heel_cm is not None and finding.below_top_cm is None:
        finding.below_top_cm = length - finding.above_heel_cm
    elif finding.below_top_cm is not None and finding.above_heel_cm is None:
        finding.above_heel_cm = length - finding.below_top_cm


def _derived_position(placed: Placed | None) -> dict[str, object]:
    if placed is None or placed.above_heel_cm is None:
        return {
            "above_heel_cm": None,
            "below_top_cm": None,
            "from_midline_cm": None,
            "midline": "",
        }
    return {
        "above_heel_cm": _decimal(placed.above_heel_cm),
        "below_top_cm": _decimal(placed.below_top_cm),
        "from_midline_cm": _decimal(placed.from_midline_cm),
        "midline": placed.midline,
    }


def _decimal(value: float | None) -> Decimal | None:
    return None if value is None else Decimal(f"{value:.1f}")


def _placing(finding: Finding) -> tuple[Any, ...]:
    names = ("region", "place", "place_source", "position_source", *POSITION_FIELDS)
    return tuple(getattr(finding, name) for name in names)


def first_mark_of(finding: Finding) -> Mark | None:
    """The active mark that says where a finding lies: the one placed first, no far end."""
    far_last = models.Case(models.When(end__in=FAR_ENDS, then=1), default=0)
    found: Mark | None = (
        Mark.objects.active().filter(finding=finding).order_by(far_last, "created_at", "pk").first()
    )
    return found


def derived_place_of(
    examination: Examination, finding: Finding, marks: Sequence[Mark] | None = None
) -> Placed | None:
    """Derive the place of a finding from its first mark, None without a mark."""
    first = marks[0] if marks else (None if marks is not None else first_mark_of(finding))
    return _placed(examination, first) if first is not None else None


def derive_again(actor: Staff, examination: Examination, finding: Finding) -> None:
    """After a mark was placed, moved or voided: settle the finding, as its next version."""
    if settle_place(finding, derived_place_of(examination, finding)):
        save_next_version(actor, finding)


def derive_all_again(actor: Staff, examination: Examination) -> None:
    """After the measured length changed: settle every active finding."""
    findings = Finding.objects.active().filter(examination=examination)
    for finding in findings.select_for_update().order_by("pk"):
        derive_again(actor, examination, finding)
