"""Cases at each stage of a report, written past the actions, so many days ago."""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import Any

from django.utils import timezone

from cases.certification.models import Certification
from cases.models import Case
from cases.review.models import Report, ReportDraft, ReviewDecision
from cases.rules.case import CaseState
from evidence.items.models import Item
from evidence.specimens.models import Specimen
from findings.models import Examination
from me_office.accounts.models import Staff
from tests.builders import make_case, set_back


def ago(days: float) -> datetime:
    """A moment so many days before noon of today."""
    noon = timezone.localtime().replace(hour=12, minute=0, second=0, microsecond=0)
    return noon - timedelta(days=days)


def examined_case(by: Staff, days: float, *, kind: str = "full autopsy", **fields: Any) -> Case:
    """An open case that was examined so many days ago."""
    case = make_case(by=by, pathologist=by, reported_at=ago(days + 1), **fields)
    Examination.objects.create(
        case=case, pathologist=by, created_by=by, changed_by=by, kind=kind,
        chart_body="adult_male", began_at=ago(days),
    )  # fmt: skip
    return case


def reported(case: Case, by: Staff, state: str = "draft", days: float = 0) -> Report:
    """The report of a case, in a state since so many days."""
    report = Report.objects.create(
        case=case, author=by, created_by=by, changed_by=by, state=state, submitted_at=ago(days)
    )
    set_back(Report.objects.filter(pk=report.pk), created_at=ago(days), changed_at=ago(days))
    if state == "submitted":
        case.state = CaseState.IN_REVIEW
        case.save()
    return report


def sent_back(
    case: Case, by: Staff, report: Report, days: float, number: int = 1
) -> ReviewDecision:
    """A draft that was sent back so many days ago."""
    own = {"case": case, "created_by": by, "changed_by": by}
    draft = ReportDraft.objects.create(
        report=report, number=number, content={}, sha256="0" * 64, submitted_at=ago(days + 1), **own
    )
    return ReviewDecision.objects.create(
        draft=draft, outcome="returned", words="See photographs.", decided_at=ago(days),
        decided_by=by, sha256="0" * 64, **own,
    )  # fmt: skip


def signed(case: Case, days: float) -> Case:
    """The case, signed so many days ago."""
    case.state, case.signed_at = CaseState.SIGNED, ago(days)
    case.save()
    return case


def pending(case: Case, by: Staff, days: float) -> Certification:
    """Cause and manner stated as pending so many days ago."""
    stated = Certification.objects.create(
        case=case, manner="pending", stated_at=ago(days), stated_by=by, created_by=by, changed_by=by
    )
    set_back(Certification.objects.filter(pk=stated.pk), created_at=ago(days))
    return stated


def taken(
    case: Case, by: Staff, purpose: str, days: float, number: int = 1, material: str = "Blood",
    site: str = "femoral",
) -> Specimen:  # fmt: skip
    """A specimen that was taken for something so many days ago."""
    own = {"case": case, "created_by": by, "changed_by": by}
    item = Item.objects.create(number=number, kind="specimen", title="Blood", **own)
    specimen = Specimen.objects.create(
        item=item, material=material, site=site, container="tube", purpose=purpose, **own
    )
    set_back(Specimen.objects.filter(pk=specimen.pk), created_at=ago(days))
    return specimen
