"""What a curriculum vitae adds to what is not ready for a date in court."""

from __future__ import annotations

from typing import Any

from django.urls import reverse
from django.utils import timezone

from cases.appearances.readiness import Check, Lack, register
from cases.appearances.rules import HEARD
from cases.qualifications.queries import currency_annotations
from cases.qualifications.rules import why_not_current
from me_office.moments import local


def _curriculum(row: Any) -> Lack | None:
    if row.kind not in HEARD:
        return None
    issued, changed = row.cv_issued_at, row.cv_changed_at
    words = why_not_current(
        counted_on=row.cv_counted_on,
        changed_since=bool(issued and changed and changed > issued),
        runs_out=[row.cv_runs_out] if row.cv_runs_out else [],
        on=local(row.begins_at).date(),
        today=timezone.localdate(),
    )
    page = reverse("qualifications:person", kwargs={"person_id": row.witness_id})
    return Lack(words, page) if words else None


register(Check("curriculum", 60, _curriculum, currency_annotations("witness")))
