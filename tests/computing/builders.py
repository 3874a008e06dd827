"""A case that knows what the methods ask for; what matters to a test is passed by name."""

from __future__ import annotations

from datetime import datetime, timedelta
from decimal import Decimal
from typing import Any

from django.utils import timezone

from cases.models import Case, Decedent, ReportOfDeath, Scene, SceneReading
from findings.computing import actions
from findings.computing.models import Calculation
from findings.models import Examination, Finding, Mark
from findings.organs.models import OrganWeight
from me_office.accounts.models import Staff
from me_office.accounts.roles import Role
from me_office.audit.ids import new_id
from tests.builders import make_case, make_staff

# Long enough ago that every measurement lies in the past, whenever the tests run.
WHEN = timezone.now().replace(microsecond=0, second=0) - timedelta(days=3)
COLD_SHED = {"rectal_C": 26.4, "ambient_C": 12.0, "mass_kg": 90.0, "corrective_factor": 1.0}
LONG_COLD = {**COLD_SHED, "rectal_C": 14.0}


def keep(
    case: Case,
    by: Staff,
    method: str = "pmi_rectal",
    inputs: dict[str, Any] | None = None,
    *,
    measured_at: datetime | None = WHEN,
    note: str = "For the interval",
) -> Calculation:
    """A kept calculation."""
    return actions.record_calculation(
        by,
        case_id=case.pk,
        record_id=new_id(),
        method=method,
        inputs=COLD_SHED if inputs is None else inputs,
        measured_at=measured_at,
        note=note,
    )


def full_case(by: Staff | None = None) -> Case:
    """A case with scene, readings, report, examination, organ weights and findings."""
    by = by or make_staff(Role.PATHOLOGIST, name="I. Vasko")
    case = make_case(by=by)
    who = {"created_by": by, "changed_by": by}
    Decedent.objects.filter(case=case).update(sex="male", age_years=Decimal("31"))
    Scene.objects.create(
        case=case,
        arrived_at=WHEN,
        address="Boat shed 3",
        position="prone",
        lividity_where="back, buttocks",
        lividity_blanching="fixed",
        **who,
    )
    for kind, value_c, minutes in (("ambient", "12.0", 0), ("rectal", "26.4", 5)):
        SceneReading.objects.create(
            case=case,
            kind=kind,
            value_c=Decimal(value_c),
            read_at=WHEN + timedelta(minutes=minutes),
            **who,
        )
    ReportOfDeath.objects.create(
        case=case,
        called_at=WHEN,
        caller_name="P. Moss",
        place_found="Boat shed",
        circumstances="Found by a neighbor.",
        last_alive_certainty="about",
        last_alive_at=WHEN - timedelta(hours=20),
        found_certainty="exact",
        found_at=WHEN - timedelta(hours=2),
        **who,
    )
    examination = Examination.objects.create(
        case=case,
        kind="full autopsy",
        chart_body="adult_male",
        began_at=WHEN,
        pathologist=by,
        crown_heel_cm=Decimal("178"),
        body_weight_kg=Decimal("82.5"),
        **who,
    )
    for organ, grams in (("heart", "420"), ("brain", "1390")):
        OrganWeight.objects.create(
            case=case, examination=examination, organ=organ, weight_g=Decimal(grams), **who
        )
    _findings(case, examination, who)
    return case


def _findings(case: Case, examination: Examination, who: dict[str, Any]) -> None:
    rows: tuple[dict[str, Any], ...] = (
        {"term": "Contusion", "mechanism": "Blunt", "impact_group": "A"},
        {"term": "Abrasion", "mechanism": "Blunt", "impact_group": "A"},
        {"term": "Laceration", "mechanism": "Blunt"},
        {
            "term": "Gunshot wound of entrance",
            "mechanism": "Firearm",
            "above_heel_cm": Decimal("131.5"),
            "from_midline_cm": Decimal("6"),
            "position_source": "measured",
        },
        {
            "term": "Gunshot wound of exit",
            "mechanism": "Firearm",
            "above_heel_cm": Decimal("122"),
            "from_midline_cm": Decimal("-8"),
            "position_source": "measured",
        },
        {"term": "Burn, partial thickness", "mechanism": "Heat"},
    )
    made = [
        Finding.objects.create(
            case=case, examination=examination, number=number, klass="injury", **row, **who
        )
        for number, row in enumerate(rows, start=1)
    ]
    for finding, depth in ((made[3], 62.0), (made[4], -60.0)):
        Mark.objects.create(
            case=case,
            finding=finding,
            view="anterior",
            kind="point",
            points=[[40, 260]],
            surface_point=[34.0, depth, 738.0],
            **who,
        )
    Mark.objects.create(
        case=case,
        finding=made[5],
        view="anterior",
        kind="area",
        points=[[-40, 300], [40, 300], [40, 360], [-40, 360]],
        **who,
    )
