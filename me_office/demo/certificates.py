"""The invented office signs: its own authority, and a certificate for each pathologist."""

from __future__ import annotations

from collections.abc import Mapping

from cases.signatures.actions import issue_certificate, make_authority
from cases.signatures.sealing import has_secret
from me_office.accounts.models import Staff
from me_office.accounts.roles import Role
from me_office.demo.office import ADMINISTRATOR, key_of

WHY = "The office begins to sign digitally."


def make_certificates(staff: Mapping[str, Staff]) -> None:
    """Make what is missing; an office without a signing secret keeps no keys."""
    if not has_secret():
        return
    birch = staff[ADMINISTRATOR.username]
    make_authority(birch, record_id=key_of("certificate", "authority"), reason=WHY)
    for name, person in staff.items():
        if person.has_role(Role.PATHOLOGIST):
            issue_certificate(
                birch, record_id=key_of("certificate", name), person_id=person.pk, reason=WHY
            )
