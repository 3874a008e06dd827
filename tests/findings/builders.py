"""Builders of examinations and findings; what matters to a test is passed by name."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal
from typing import Any

from django.utils import timezone

from cases.models import Case
from findings import actions
from findings.models import Examination, Finding, Mark
from me_office.accounts.models import Staff
from me_office.accounts.roles import Role
from me_office.audit.ids import new_id
from tests.builders import make_case, make_staff

# On the right lateral chest wall of the adult male drawing.
ON_RIGHT_CHEST = [-72.0, 290.0]
BESIDE_THE_BODY = [-280.0, 20.0]


def opening(**fields: Any) -> dict[str, Any]:
    """What is entered when an examination is opened."""
    return {
        "kind": "full autopsy",
        "chart_body": "adult_male",
        "began_at": timezone.now() - timedelta(hours=3),
        "crown_heel_cm": Decimal("171.0"),
        **fields,
    }


def make_examination(
    *, case: Case | None = None, by: Staff | None = None, **fields: Any
) -> Examination:
    """An opened examination."""
    return actions.open_examination(
        by or make_staff(Role.PATHOLOGIST),
        case_id=(case or make_case()).pk,
        record_id=new_id(),
        entry=opening(**fields),
    )


def write_in(examination: Examination, version: int, **entry: Any) -> Examination:
    """The examination as it is when its pathologist has written this in."""
    return actions.record_examination(
        examination.pathologist, case_id=examination.case_id, version=version, entry=entry
    )


def a_mark(kind: str = "point", points: Any = None, view: str = "anterior") -> dict[str, Any]:
    """A mark as a client sends it."""
    return {"id": new_id(), "view": view, "kind": kind, "points": points or [ON_RIGHT_CHEST]}


def contusion(**fields: Any) -> dict[str, Any]:
    """What is entered for a contusion."""
    return {"klass": "injury", "term": "Contusion", **fields}


def make_finding(
    examination: Examination, *, by: Staff | None = None, marks: Any = (), **fields: Any
) -> Finding:
    """A recorded finding."""
    return actions.record_finding(
        by or examination.pathologist,
        case_id=examination.case_id,
        record_id=new_id(),
        entry=contusion(**fields),
        marks=marks,
    )


def void_finding(finding: Finding, reason: str = "Recorded twice", *, version: int = 1) -> Finding:
    """A finding that is withdrawn by the pathologist of its examination."""
    return actions.void_finding(
        finding.examination.pathologist,
        case_id=finding.case_id,
        finding_id=finding.pk,
        version=version,
        reason=reason,
    )


def place_point(finding: Finding, **fields: Any) -> Mark:
    """One more mark of a finding: a point on the right chest, unless said."""
    entry = {"view": "anterior", "kind": "point", "points": [ON_RIGHT_CHEST], **fields}
    return actions.place_mark(
        finding.examination.pathologist,
        case_id=finding.case_id,
        finding_id=finding.pk,
        record_id=new_id(),
        entry=entry,
    )


def fill(examination: Examination, count: int) -> None:
    """Many findings with a mark each, written at once."""
    who: dict[str, Any] = {
        "created_by": examination.pathologist,
        "changed_by": examination.pathologist,
    }
    case = examination.case
    findings = Finding.objects.bulk_create(
        Finding(
            case=case,
            examination=examination,
            number=number,
            klass="injury",
            term="Contusion",
            place="Right chest",
            **who,
        )
        for number in range(1, count + 1)
    )
    Mark.objects.bulk_create(
        Mark(
            case=case,
            finding=finding,
            view="anterior",
            kind="point",
            points=[[-70 + 7.0 * (n % 20), 200 + 10.0 * (n // 20)]],
            **who,
        )
        for n, finding in enumerate(findings)
    )
