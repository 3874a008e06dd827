"""The job that cuts a photograph into squares, and how a page asks for it."""

from __future__ import annotations

import io
import logging
from uuid import UUID

from celery import current_app, shared_task
from django.core.cache import cache
from PIL import Image

from evidence import actions, pictures, store, tiles
from evidence.models import Photograph

log = logging.getLogger(__name__)
# One job at a time for a photograph; asked for again when it has not answered in this time.
PATIENCE_SECONDS = 120


@shared_task
def derive_tiles(*, photograph_id: str) -> str:
    """Cut one photograph into squares; run again, it changes nothing."""
    photograph = (
        Photograph.objects.select_related("file", "created_by")
        .filter(pk=UUID(photograph_id))
        .first()
    )
    if photograph is None:
        return "gone"
    if photograph.derived.filter(kind="tiles").exists():
        return "made"
    try:
        with store.open_stored(photograph.file) as original:
            content = tiles.cut(pictures.upright(original))
    except (Image.DecompressionBombError, MemoryError, *pictures.BROKEN):
        # Named by its key alone: the log holds no case content.
        log.exception("Photograph %s could not be cut into tiles", photograph.pk)
        cache.set(_failed(photograph_id), True, timeout=24 * 3600)
        return "failed"
    with store.receive(io.BytesIO(content), name="tiles") as incoming:
        actions.add_tiles(
            photograph.created_by,
            photograph_id=photograph.pk,
            method=tiles.METHOD,
            incoming=incoming.recognised(media_type="application/zip"),
        )
    return "made"


def ask_for_tiles(photograph_id: UUID) -> str:
    """Send the job unless it is on its way; return "waiting", or "failed" when it could not."""
    key = str(photograph_id)
    if cache.get(_failed(key)):
        return "failed"
    if cache.add(f"evidence-tiles-asked-{key}", True, timeout=PATIENCE_SECONDS):
        current_app.send_task(
            "evidence.tile_tasks.derive_tiles", kwargs={"photograph_id": key}, retry=False
        )
    return "waiting"


def _failed(photograph_id: str) -> str:
    return f"evidence-tiles-failed-{photograph_id}"
