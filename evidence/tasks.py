"""Jobs of this part of the office: smaller copies, unfinished files, the check of the store."""

from __future__ import annotations

import io
import logging
from contextlib import ExitStack
from datetime import timedelta
from uuid import UUID

from celery import shared_task
from django.conf import settings
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

log = logging.getLogger(__name__)
AT_ONCE = 50
# A photograph that has just come in has its own job on the way.
PATIENCE = timedelta(seconds=30)


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
    actor = photograph.created_by
    try:
        with ExitStack() as stack:
            copies = []
            for kind, longest_px in pictures.SIZES.items():
                with store.open_stored(photograph.file) as original:
                    copy = pictures.smaller_copy(original, longest_px=longest_px)
                incoming = stack.enter_context(store.receive(io.BytesIO(copy), name=kind))
                method = pictures.METHOD.format(size=longest_px)
                copies.append((kind, method, incoming.recognised(media_type="image/jpeg")))
            actions.add_preview(actor, photograph_id=photograph.pk, copies=copies)
    except (Image.DecompressionBombError, MemoryError, *pictures.BROKEN):
        # Named by its key alone: the log holds no case content.
        log.exception("No smaller copy of photograph %s could be made", photograph.pk)
        actions.fail_preview(actor, photograph_id=photograph.pk)
        return "failed"
    return "made"


@shared_task
def derive_missing_images() -> int:
    """Ask again for the copies of photographs that still wait; return how many."""
    waiting = Photograph.objects.filter(
        preview="waiting", created_at__lt=timezone.now() - PATIENCE
    ).order_by("created_at", "id")[:AT_ONCE]
    keys = [str(key) for key in waiting.values_list("pk", flat=True)]
    for key in keys:
        derive_images.delay(photograph_id=key)
    return len(keys)


@shared_task
def take_in_whole_uploads() -> int:
    """Take in files that came whole while nobody was left to ask for it; return how many.

    The browser asks by itself; this is for one that was closed or lost in between.
    """
    silent = PhotographUpload.objects.filter(
        state="complete", heard_at__lt=timezone.now() - PATIENCE_WITH_BROWSERS
    )
    taken = 0
    for upload in silent.select_related("by", "photograph").order_by("heard_at", "id")[:AT_ONCE]:
        try:
            intake.take_in_upload(upload)
            taken += 1
        except (NotAllowed, NotKnown) as error:
            refuse_upload(upload, error.message)
        except OfficeError as error:
            # The refusal stands with the upload; named here by its key alone.
            log.info("Upload %s was refused (%s)", upload.pk, error.code)
        except Exception:
            log.exception("Upload %s could not be taken in", upload.pk)
    return taken


@shared_task
def clear_uploads() -> int:
    """Remove what was begun and given up: unfinished files, and what dead processes left."""
    now = timezone.now()
    return expire_uploads(now=now) + store.remove_forgotten(older_than=now - KEPT_UNFINISHED)


@shared_task
def check_store(*, run_id: str = "") -> str:
    """Read the next files of the store's check; begin one when it is due."""
    now = timezone.now()
    under_way = FixityRun.objects.filter(finished_at=None).first()
    if under_way is None:
        last = FixityRun.objects.order_by("-begun_at").values_list("begun_at", flat=True).first()
        if run_id or not fixity_rules.is_due(last, now=now):
            return "not due"
    run = fixity.go_on(
        fixity.begin_run(now=now), most_bytes_a_second=settings.STORE_CHECK_BYTES_A_SECOND
    )
    if run.finished_at is not None:
        return "finished"
    check_store.delay(run_id=str(run.pk))
    return "going on"
