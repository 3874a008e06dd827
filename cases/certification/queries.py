"""Reads of cause and manner."""

from __future__ import annotations

from uuid import UUID

from cases.certification.models import Certification

DAYS_A_YEAR = 365.25


def certification_of(case_id: UUID) -> Certification | None:
    """Return the statement of cause and manner, or None."""
    return (
        Certification.objects.filter(case_id=case_id)
        .select_related("stated_by", "case__decedent", "case__report_of_death", "case__examination")
        .first()
    )


def kind_of_examination(record: Certification) -> str:
    """Return the kind of the case's examination; empty where none is opened."""
    examination = getattr(record.case, "examination", None)
    return examination.kind if examination is not None else ""


def age_in_years(record: Certification) -> float | None:
    """Return the decedent's age as stated, or from the date of birth; None where not known."""
    decedent = record.case.decedent
    if decedent.age_years is not None:
        return float(decedent.age_years)
    if decedent.born_on is None:
        return None
    died_on = record.death_on or record.case.reported_at.date()
    return max((died_on - decedent.born_on).days, 0) / DAYS_A_YEAR
