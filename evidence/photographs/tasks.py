"""Photograph jobs: the smaller copies, and asking again for those that still wait."""

from __future__ import annotations

import io
import logging
from contextlib import ExitStack
from datetime import timedelta
from uuid import UUID

from celery import shared_task
from django.utils import timezone
from PIL import Image

from evidence import store
from evidence.imaging import pictures
from evidence.photographs import actions, queries
from evidence.photographs.models import Photograph
from me_office.jobs import own_work

log = logging.getLogger(__name__)
AT_ONCE = 50
# A photograph that has just come in has its own job on the way.
PATIENCE = timedelta(seconds=30)
DERIVE_IMAGES = "evidence.photographs.tasks.derive_images"


@shared_task
def derive_images(*, photograph_id: str) -> str:
    """Make the smaller copies of one photograph; run again, it changes nothing."""
    photograph = queries.photograph_to_copy(UUID(photograph_id))
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
    except store.StoreAway:
        own_work.forget(photograph.pk)
        log.error("No store for the copies of photograph %s", photograph.pk)
        return "waits"
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
            copies.append((kind, method, incoming.recognized(media_type="image/jpeg")))
        actions.add_preview(photograph.created_by, photograph_id=photograph.pk, copies=copies)


@shared_task
def derive_missing_images() -> int:
    """Ask again for the copies of photographs that still wait; return how many."""
    waiting = Photograph.objects.filter(
        preview="waiting", created_at__lt=timezone.now() - PATIENCE
    ).order_by("created_at", "id")[:AT_ONCE]
    return own_work.send_waiting(DERIVE_IMAGES, waiting, "photograph_id")
