"""Jobs: files that came whole are taken in, forgotten ones cleared."""

from __future__ import annotations

import logging
from uuid import UUID, uuid5

from celery import shared_task
from django.utils import timezone

from evidence import store
from evidence.intake import taking
from evidence.intake.actions import expire_uploads, refuse_upload
from evidence.intake.models import PhotographUpload
from evidence.intake.rules import KEPT_FOR as KEPT_UNFINISHED
from evidence.intake.rules import PATIENCE as PATIENCE_WITH_BROWSERS
from me_office.audit.errors import NotAllowed, NotKnown, OfficeError
from me_office.jobs import own_work

log = logging.getLogger(__name__)
AT_ONCE = 50
TAKE_IN = "evidence.intake.tasks.take_in_upload"
ENDED_ITS_WORKER = (
    "The program that reads this file crashed at every attempt. Open the file on your "
    "computer, save it again as JPEG or TIFF, and tell an administrator."
)


@shared_task
def take_in_whole_uploads() -> int:
    """Ask for files to be taken in that came whole while nobody was left to ask; return how many.

    The browser asks by itself; this is for one that was closed or lost in between.
    """
    silent = PhotographUpload.objects.filter(
        state="complete", heard_at__lt=timezone.now() - PATIENCE_WITH_BROWSERS
    )
    return own_work.send_waiting(TAKE_IN, silent.order_by("heard_at", "id")[:AT_ONCE], "upload_id")


@shared_task
def take_in_upload(*, upload_id: str) -> str:
    """Take in one file that came whole; run again, it is the same photograph."""
    rows = PhotographUpload.objects.select_related("by", "photograph").filter(state="complete")
    upload = rows.filter(pk=UUID(upload_id)).first()
    if upload is None:
        return "nothing to do"
    # Not the key of its photograph, whose smaller copies count their own attempts.
    key = uuid5(upload.pk, "take in")
    try:
        with own_work.attempt(key, "takes the file in"):
            return _take_in(upload)
    except own_work.UnderWay:
        return "under way"
    except own_work.GivenUp:
        log.error("Taking in upload %s ended its worker each time", upload.pk)
        refuse_upload(upload, ENDED_ITS_WORKER)
        return "refused"
    except Exception:
        log.exception("Upload %s could not be taken in", upload.pk)
        return "failed"


def _take_in(upload: PhotographUpload) -> str:
    try:
        taking.take_in_upload(upload)
    except (NotAllowed, NotKnown) as error:
        refuse_upload(upload, error.message)
        return "refused"
    except store.StoreAway:
        log.error("No store to take upload %s in", upload.pk)
        return "waits"
    except OfficeError as error:
        # The refusal stands with the upload; named here by its key alone.
        log.info("Upload %s was refused (%s)", upload.pk, error.code)
        return "refused"
    return "taken in"


@shared_task
def clear_uploads() -> int:
    """Remove what was begun and given up: unfinished files, and what dead processes left."""
    now = timezone.now()
    removed = expire_uploads(now=now) + store.remove_forgotten(older_than=now - KEPT_UNFINISHED)
    return removed + store.take_back_forgotten_parts(now=now)
