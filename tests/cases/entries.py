"""What people enter in these tests: complete, plausible, and in the past."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

from django.utils import timezone

from cases import actions
from cases.models import Case
from me_office.accounts.models import Staff
from me_office.accounts.roles import Role
from me_office.audit.ids import new_id
from tests.builders import make_staff


def ago(**span: float) -> Any:
    """A moment in the past, to the minute: `ago(hours=3)`."""
    return (timezone.now() - timedelta(**span)).replace(second=0, microsecond=0)


def first_call(**said: Any) -> dict[str, Any]:
    """A report of death as the form or the API hands it over."""
    return {
        "heading": "Fall at a grain store",
        "called_at": ago(hours=5),
        "caller_name": "Deputy K. Marsh",
        "caller_role": "deputy",
        "caller_agency": "Tarn County Sheriff",
        "caller_phone": "555 0142",
        "place_found": "Mill Road 3, Tarnford",
        "circumstances": "Found at the foot of a ladder inside the store.",
        "last_alive_certainty": "about",
        "last_alive_at": ago(hours=9),
        "found_certainty": "exact",
        "found_at": ago(hours=6),
        "pronounced_by": "Paramedic R. Fenn",
        "pronounced_at": ago(hours=5, minutes=30),
        "family_name": "Hallstead",
        "given_names": "Oren",
        "sex": "male",
        "age_years": 58,
    } | said


def seen_at_scene(**said: Any) -> dict[str, Any]:
    """A scene as the form hands it over."""
    return {
        "arrived_at": ago(hours=4),
        "address": "Mill Road 3, Tarnford",
        "environment": "Cold and dry, doors open.",
        "position": "supine",
        "lividity_where": "back",
        "lividity_blanching": "blanches",
        "rigor": "beginning",
        "clothing": "Work coat, boots.",
    } | said


def received(**said: Any) -> dict[str, Any]:
    """A body's receipt as the form hands it over."""
    return {
        "received_at": ago(hours=2),
        "delivered_by": "J. Orme, county transport",
        "received_from": "Mill Road 3, Tarnford",
        "tag_number": "T-118",
        "seal_state": "intact",
        "seal_number": "S-4471",
        "kept_at": "Cooler 2, place 4",
    } | said


def logged_case(by: Staff | None = None, **said: Any) -> Case:
    """A case as a first call leaves it."""
    by = by or make_staff(Role.INVESTIGATOR)
    return actions.log_report_of_death(by, record_id=new_id(), entry=first_call(**said))


def open_case(by: Staff | None = None, **said: Any) -> Case:
    """A case under the office's jurisdiction, through the actions."""
    by = by or make_staff(Role.INVESTIGATOR)
    case = logged_case(by, **said)
    actions.accept_jurisdiction(
        by, case_id=case.pk, version=1, ground="unattended death", reason="Nobody saw the fall."
    )
    case.refresh_from_db()
    return case
