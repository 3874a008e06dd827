"""Dates in court as people enter them."""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import Any

from django.utils import timezone

from cases.appearances import actions
from cases.appearances.models import Appearance
from cases.models import Case
from me_office.accounts.models import Staff
from me_office.audit.ids import new_id


def in_days(days: float, clock: str = "09:00") -> datetime:
    """A moment so many days from today, by the office's clock."""
    day = timezone.localdate() + timedelta(days=days)
    return timezone.make_aware(datetime.fromisoformat(f"{day.isoformat()}T{clock}"))


def called(witness: Staff, **said: Any) -> dict[str, Any]:
    """A trial five days ahead as the form hands it over."""
    return {
        "kind": "trial",
        "witness": witness,
        "begins_at": in_days(5),
        "expected_minutes": 120,
        "place": "Courtroom 2, 4 Assize Square",
        "court": "Tarn County Superior Court",
        "cause_number": "CR-26-01177",
        "called_by": "prosecution",
        **said,
    }


def appear(by: Staff, case: Case, witness: Staff | None = None, **said: Any) -> Appearance:
    """Record a date in court."""
    entry = called(witness or by, **said)
    return actions.record_appearance(by, case_id=case.pk, record_id=new_id(), entry=entry)


def was_heard(by: Staff, case: Case, **said: Any) -> Appearance:
    """Record a date that is over, and how it went."""
    words = {name: said.pop(name) for name in actions.TESTIMONY_NAMES if name in said}
    one = appear(by, case, **{"begins_at": in_days(-3), **said})
    return actions.record_testimony(
        by, case_id=case.pk, record_id=one.pk, version=1, entry={"stand_minutes": 80, **words}
    )
