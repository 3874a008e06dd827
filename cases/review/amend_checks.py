"""What may not be said after the signature, as it may not before it."""

from __future__ import annotations

from typing import Any

from django.utils import timezone

from cases.actions.entry import refuse_wrong
from cases.certification.actions import FIELDS
from cases.certification.items import wrong_in_items
from cases.certification.models import Certification
from cases.models import Decedent, Identification
from cases.rules import intake as intake_rules
from me_office.audit.fields import said_of
from me_office.entries import Entry


def check_items(record: Certification, entry: Entry) -> None:
    """Refuse what the certificate cannot say; what was signed and is left alone is not asked."""
    said = said_of(record, FIELDS)
    more: dict[str, Any] = {"sex": record.case.decedent.sex, "today": timezone.localdate()}
    wanted = {**said, **entry}
    before, now = wrong_in_items(said, **more), wrong_in_items(wanted, **more)
    refuse_wrong(
        {
            name: words
            for name, words in now.items()
            if said[name] != wanted[name] or before.get(name) != words
        }
    )


def check_step(step: Identification, decedent: Decedent) -> None:
    """Refuse a step of identification that cannot stand. Raises Invalid."""
    refuse_wrong(intake_rules.ahead_of_now({"made_at": step.made_at}, timezone.now()))
    is_named = bool(decedent.family_name or decedent.given_names)
    refuse_wrong(
        intake_rules.why_not_identified(
            step.identity, step.method, is_named=is_named, basis=step.basis
        )
    )
