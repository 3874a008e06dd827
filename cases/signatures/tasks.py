"""Renews certificates before they end."""

from __future__ import annotations

import logging

from celery import shared_task

from cases.signatures import actions
from me_office.audit.errors import OfficeError
from me_office.audit.ids import new_id

log = logging.getLogger(__name__)


@shared_task
def renew_certificates() -> int:
    """Issue the next certificate of everybody whose one ends soon; return how many."""
    renewed = 0
    for one in actions.to_renew():
        try:
            made = actions.renew_certificate(
                one.created_by, record_id=new_id(), certificate_id=one.pk
            )
        except OfficeError as error:
            log.error("Certificate %s could not be renewed: %s", one.pk, type(error).__name__)
            continue
        renewed += made is not None
    return renewed
