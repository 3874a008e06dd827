"""Jobs of this part of the office: smaller copies of photographs."""

from __future__ import annotations

import io
import logging
from contextlib import ExitStack
from datetime import timedelta
from uuid import UUID

from celery import shared_task
from django.utils import timezone
from PIL import Image

from evidence import actions, pictures, store
from evidence.models import Photograph

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
