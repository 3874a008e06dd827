"""Which calculations fit what is on a page of the examination, and the links to them."""

from __future__ import annotations

from dataclasses import dataclass
from uuid import UUID

from django.urls import NoReverseMatch, reverse

from findings.calculations.registry import find
from findings.models import Finding
from findings.rules import FindingClass, offers_path

BURN_WORDS = ("burn", "scald")
LIVIDITY_AND_RIGOR = ("lividity_rigor", "pmi_rectal", "vitreous_potassium", "time_since_death")
ORGANS = ("organ_weights", "heart_for_body_weight")
WRITTEN = ("body_size", "pmi_rectal", "vitreous_potassium", "burn_area")


@dataclass(frozen=True)
class Fitting:
    """A calculation of the case with its title and address."""

    title: str
    url: str


def fitting(case_id: UUID, methods: tuple[str, ...], asked: str = "") -> list[Fitting]:
    """Links to methods of the case; none when the office runs without the calculations."""
    try:
        return [
            Fitting(
                find(name).title,
                reverse("computing:method", kwargs={"case_id": case_id, "method": name}) + asked,
            )
            for name in methods
        ]
    except NoReverseMatch:
        return []


def fitting_finding(finding: Finding) -> list[Fitting]:
    """What can be reckoned from one finding: its path, its burned share, the impacts."""
    if finding.klass != FindingClass.INJURY:
        return []
    said = f"{finding.mechanism} {finding.term}".lower()
    case_id = finding.case_id
    if offers_path(finding.mechanism, finding.term):
        return fitting(case_id, ("wound_path",), f"?entrance={finding.number}")
    if any(word in said for word in BURN_WORDS):
        return fitting(case_id, ("burn_area",), "?way=charted")
    if "blunt" in said:
        return fitting(case_id, ("impacts",))
    return []
