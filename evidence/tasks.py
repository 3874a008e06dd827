"""Jobs of this part of the office: smaller copies, unfinished files, the check of the store."""

from __future__ import annotations

import io
import logging
from contextlib import ExitStack
from datetime import timedelta
from typing import Any
from uuid import UUID, uuid5

from celery import shared_task
from django.conf import settings
from django.db.models import QuerySet
from django.utils import timezone
from PIL import Image

from evidence import actions, intake, pictures, store
from evidence.fixity import actions as fixity
from evidence.fixity import rules as fixity_rules
from evidence.models import FixityRun, Photograph, PhotographUpload
from evidence.uploads.actions import expire_uploads, refuse_upload
from evidence.uploads.rules import KEPT_FOR as KEPT_UNFINISHED
from evidence.uploads.rules import PATIENCE as PATIENCE_WITH_BROWSERS
from me_office.audit.errors import NotAllowed, NotKnown, OfficeError
from me_office.jobs import own_work, sending

log = logging.getLogger(__name__)
AT_ONCE = 50
# A photograph that has just come in has its own job on the way.
PATIENCE = timedelta(seconds=30)
DERIVE_IMAGES = "evidence.tasks.derive_images"
TAKE_IN = "evidence.tasks.take_in_upload"
ENDED_ITS_WORKER = (
    "Reading this file ended the program that reads it, each time it was tried. Open it on your "
    "computer, save it anew as JPEG or TIFF, and tell an administrator."
)


@shared_task
def derive_images(*, photograph_id: str) -> str:
    """Make the smaller copies of one photograph; run again, it changes nothing."""
    photograph = (
        Photograph.objects.select_related("file", "created_by")
        .filter(pk=UUID(photograph_id))
        .first()
    )
    if photograph is None:
        return "gone"
    if photograph.preview == "made":
        return "made"
    try:
        with own_work.attempt(photograph.pk, "makes the smaller copies"):
            _make_smaller(photograph)
    except own_work.UnderWay:
        return "under way"
    except own_work.GivenUp:
        log.error("Smaller copies of photograph %s ended their worker each time", photograph.pk)
        actions.fail_preview(photograph.created_by, photograph_id=photograph.pk)
        return "failed"
    except (Image.DecompressionBombError, MemoryError, *pictures.BROKEN) as error:
        if pictures.is_passing(error):
            # However long it lasts, it is no fault of this picture: nothing is counted.
            own_work.forget(photograph.pk)
            log.error("No room or no store for the copies of photograph %s", photograph.pk)
            return "waits"
        # Named by its key alone: the log holds no case content.
        log.exception("No smaller copy of photograph %s could be made", photograph.pk)
        actions.fail_preview(photograph.created_by, photograph_id=photograph.pk)
        return "failed"
    return "made"


def _make_smaller(photograph: Photograph) -> None:
    with ExitStack() as stack:
        copies = []
        for kind, longest_px in pictures.SIZES.items():
            with store.open_stored(photograph.file) as original:
                copy = pictures.smaller_copy(original, longest_px=longest_px)
            incoming = stack.enter_context(store.receive(io.BytesIO(copy), name=kind))
            method = pictures.METHOD.format(size=longest_px)
            copies.append((kind, method, incoming.recognised(media_type="image/jpeg")))
        actions.add_preview(photograph.created_by, photograph_id=photograph.pk, copies=copies)


@shared_task
def derive_missing_images() -> int:
    """Ask again for the copies of photographs that still wait; return how many."""
    waiting = Photograph.objects.filter(
        preview="waiting", created_at__lt=timezone.now() - PATIENCE
    ).order_by("created_at", "id")[:AT_ONCE]
    return _send(DERIVE_IMAGES, waiting, "photograph_id")


def _send(task: str, waiting: QuerySet[Any], argument: str) -> int:
    keys = own_work.to_send(waiting.values_list("pk", flat=True), queue=sending.QUICK)
    sent = 0
    for key in keys:
        if sending.send(task, **{argument: str(key)}):
            sent += 1
        else:
            own_work.not_sent(key)
    return sent


@shared_task
def take_in_whole_uploads() -> int:
    """Ask for files to be taken in that came whole while nobody was left to ask; return how many.

    The browser asks by itself; this is for one that was closed or lost in between.
    """
    silent = PhotographUpload.objects.filter(
        state="complete", heard_at__lt=timezone.now() - PATIENCE_WITH_BROWSERS
    )
    return _send(TAKE_IN, silent.order_by("heard_at", "id")[:AT_ONCE], "upload_id")


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
        intake.take_in_upload(upload)
    except (NotAllowed, NotKnown) as error:
        refuse_upload(upload, error.message)
        return "refused"
    except OfficeError as error:
        # The refusal stands with the upload; named here by its key alone.
        log.info("Upload %s was refused (%s)", upload.pk, error.code)
        return "refused"
    return "taken in"


@shared_task
def clear_uploads() -> int:
    """Remove what was begun and given up: unfinished files, and what dead processes left."""
    now = timezone.now()
    return expire_uploads(now=now) + store.remove_forgotten(older_than=now - KEPT_UNFINISHED)


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
            run = fixity.go_on(run, most_bytes_a_second=settings.STORE_CHECK_BYTES_A_SECOND)
    except own_work.UnderWay:
        return "under way"
    except own_work.GivenUp:
        log.error("The check of the store ended its worker each time, after file %s", run.after)
        own_work.forget(run.pk)
        fixity.pass_over(run)
        return "passed over"
    return "finished" if run.finished_at is not None else "going on"
