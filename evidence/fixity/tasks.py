"""The job that reads the store again."""

from __future__ import annotations

import logging

from celery import shared_task
from django.conf import settings
from django.utils import timezone

from evidence import store
from evidence.fixity import actions as fixity
from evidence.fixity import rules as fixity_rules
from evidence.fixity.models import FixityRun
from me_office.jobs import own_work

log = logging.getLogger(__name__)


@shared_task
def check_store() -> str:
    """Read the next files of the store's check; begin one when it is due.

    Called every minute and sends nothing itself, so that there is never a second one of it: a
    call that comes while another one reads goes away.
    """
    now = timezone.now()
    if not FixityRun.objects.filter(finished_at=None).exists():
        last = FixityRun.objects.order_by("-begun_at").values_list("begun_at", flat=True).first()
        if not fixity_rules.is_due(last, now=now):
            return "not due"
    run = fixity.begin_run(now=now)
    try:
        with own_work.attempt(run.pk, "reads the store"):
            try:
                run = fixity.go_on(run, most_bytes_a_second=settings.STORE_CHECK_BYTES_A_SECOND)
            except store.StoreAway:  # no fault of a file: no attempt is counted for it
                return "waits"
    except own_work.UnderWay:
        return "under way"
    except own_work.GivenUp:
        log.error("The check of the store ended its worker each time, after file %s", run.after)
        own_work.forget(run.pk)
        fixity.pass_over(run)
        return "passed over"
    return "finished" if run.finished_at is not None else "going on"
