"""An authority, and certificates for those who signed a case."""

from __future__ import annotations

from cases.models import Case
from cases.signatures import actions
from cases.signatures.models import Certificate
from cases.signatures.queries import authority
from me_office.accounts.models import Staff
from me_office.accounts.roles import Role
from me_office.audit.ids import new_id
from tests.builders import make_staff

WHY = {"reason": "The office begins to sign."}


def make_administrator() -> Staff:
    return make_staff(Role.ADMINISTRATOR, name="A. Birch")


def certificate_for(person: Staff, by: Staff | None = None) -> Certificate:
    """A certificate of the office's own authority, which is made where there is none."""
    by = by or make_administrator()
    if authority() is None:
        actions.make_authority(by, record_id=new_id(), **WHY)
    return actions.issue_certificate(by, record_id=new_id(), person_id=person.pk, **WHY)


def signers_of(case: Case) -> list[Staff]:
    """Author and reviewer."""
    draft = case.report.drafts.get()
    return [draft.created_by, draft.decision.decided_by]


def certified(case: Case) -> list[Certificate]:
    """Certificates for both."""
    birch = make_administrator()
    return [certificate_for(person, birch) for person in signers_of(case)]


def certificates_of(case: Case) -> list[Certificate]:
    """The certificates of author and reviewer."""
    return [Certificate.objects.get(person=person) for person in signers_of(case)]
