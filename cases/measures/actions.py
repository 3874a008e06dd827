"""Choosing, for oneself, whether what waits comes by mail."""

from __future__ import annotations

from uuid import UUID

from django.conf import settings

from cases.actions.entry import names_entered
from cases.measures import mail_rules
from cases.measures.models import DailyMail
from me_office.accounts.models import Staff
from me_office.audit import keys
from me_office.audit.actions import action
from me_office.audit.errors import Refused, StaleRecord
from me_office.audit.fields import set_fields
from me_office.audit.records import require_version, save_new, save_next_version
from me_office.entries import Entry

NAMES = names_entered(DailyMail)


@action
def choose_daily_mail(
    actor: Staff, *, record_id: UUID, version: int = 0, entry: Entry, reason: str = ""
) -> DailyMail:
    """Choose whether one's own daily mail is sent, and to which address. `entry` holds NAMES.

    Raises StaleRecord, Conflict, Refused, Invalid.
    """
    keys.recall()
    there = DailyMail.objects.select_for_update().filter(person=actor).first()
    if there is not None and (version or there.pk != record_id):
        if not version:
            raise StaleRecord(there)
        require_version(there, version)
        choice = there
    else:
        choice = DailyMail(pk=record_id, person=actor)
    set_fields(choice, entry, NAMES)
    wrong = mail_rules.wrong_address(
        choice.address, wanted=choice.wanted, domains=settings.DAILY_MAIL_DOMAINS
    )
    if wrong:
        raise Refused(wrong, field="address")
    return save_next_version(actor, choice) if version and there else save_new(actor, choice)
