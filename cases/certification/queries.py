"""Reads of cause and manner."""

from __future__ import annotations

from dataclasses import dataclass
from uuid import UUID

from django.db.models import F

from cases.certification.filled import said_in, stated_in
from cases.certification.models import Certification, FollowUp, Particulars, RegistrarStatement
from cases.certification.sheet import (
    ItemChange,
    SheetRow,
    certificate_rows,
    changes_since,
    stated_rows,
)
from cases.models import Case
from me_office.accounts.models import Staff
from me_office.audit.errors import known

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


@dataclass(frozen=True)
class Sheet:
    """The certificate's items of a case, and what the registrar was told of them."""

    rows: list[SheetRow]
    certification: Certification | None
    particulars: Particulars | None
    statements: list[RegistrarStatement]
    # What reads otherwise than it was stated last; empty while nothing was.
    changes: list[ItemChange]

    @property
    def last(self) -> RegistrarStatement | None:
        """The statement that stands."""
        return self.statements[-1] if self.statements else None


@dataclass(frozen=True)
class Stated:
    """A statement to the registrar, and how its items differ from those of the one before."""

    statement: RegistrarStatement
    before: RegistrarStatement | None
    changes: list[ItemChange]


def statements_of(case_id: UUID) -> list[RegistrarStatement]:
    """Return what was stated to the registrar, the first statement first."""
    rows = RegistrarStatement.objects.active().filter(case_id=case_id).select_related("stated_by")
    return list(rows.order_by("number"))


def withdrawn_statements(case_id: UUID) -> list[RegistrarStatement]:
    """Return statements to the registrar that were withdrawn, the first statement first."""
    rows = RegistrarStatement.objects.filter(case_id=case_id, voided_at__isnull=False)
    return list(rows.select_related("stated_by", "voided_by").order_by("number"))


def statement_of(case: Case, record_id: UUID) -> RegistrarStatement:
    """Return one statement that stands. Raises NotKnown."""
    rows = RegistrarStatement.objects.active().filter(case=case, pk=record_id)
    return known(rows.first(), "statement to the registrar")


def statements_told(statements: list[RegistrarStatement]) -> list[Stated]:
    """Return each statement with what it changed of the one before."""
    before = [None, *statements]
    return [
        Stated(one, former, changes_since(former.said, one.said) if former else [])
        for one, former in zip(statements, before, strict=False)
    ]


def particulars_of(case: Case) -> Particulars | None:
    """Return the items that others state, or None."""
    return Particulars.objects.filter(case=case).first()


def sheet_of(case: Case) -> Sheet:
    """Return every item of the certificate as the record says it; `case` has its decedent."""
    standing = certification_of(case.pk)
    particulars = particulars_of(case)
    statements = statements_of(case.pk)
    last = statements[-1] if statements else None
    rows = certificate_rows(said_in(case, standing, particulars, last))
    now = stated_rows(certificate_rows(stated_in(standing))) if standing else []
    changes = changes_since(last.said, now) if last and now else []
    return Sheet(rows, standing, particulars, statements, changes)


def follow_ups_of(case: Case) -> list[FollowUp]:
    """Return what the certificate waits for and what came: the open ones first, by their day."""
    rows = FollowUp.objects.active().filter(case=case)
    return list(rows.order_by(F("came_on").asc(nulls_first=True), "follow_up_on", "id"))


def follow_up_of(case: Case, record_id: UUID) -> FollowUp:
    """Return one of them. Raises NotKnown."""
    rows = FollowUp.objects.active().filter(case=case, pk=record_id)
    return known(rows.first(), "follow-up")


def last_license_of(actor: Staff) -> str:
    """Return the license number with which a person certified last; empty where none is known."""
    rows = Certification.objects.filter(stated_by=actor).exclude(certifier_license="")
    return rows.order_by("-stated_at").values_list("certifier_license", flat=True).first() or ""
