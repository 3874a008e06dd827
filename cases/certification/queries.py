"""Reads of cause and manner."""

from __future__ import annotations

from uuid import UUID

from cases.certification.models import Certification


def certification_of(case_id: UUID) -> Certification | None:
    """Return the statement of cause and manner, or None."""
    return Certification.objects.filter(case_id=case_id).select_related("stated_by").first()
