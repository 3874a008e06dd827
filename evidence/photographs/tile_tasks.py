"""The job that cuts a photograph into squares, and how a page asks for it."""

from __future__ import annotations

import io
import logging
from datetime import timedelta
from uuid import UUID, uuid5

from celery import shared_task
from PIL import Image

from evidence import store
from evidence.imaging import pictures, tiles
from evidence.photographs import actions, queries
from evidence.photographs.models import Photograph
from me_office.jobs import own_work, sending

log = logging.getLogger(__name__)
# Asked for again when a worker has not answered in this time.
PATIENCE = timedelta(minutes=2)
# What failed is tried again a day later: it may have been the machine's memory.
FAILED_FOR = timedelta(days=1)


@shared_task
def derive_tiles(*, photograph_id: str) -> str:
    """Cut one photograph into squares; run again, it changes nothing."""
    photograph = queries.photograph_to_copy(UUID(photograph_id))
    if photograph is None:
        return "gone"
    if photograph.derived.filter(kind="tiles").exists():
        return "made"
    key = _key(photograph.pk)
    try:
        with own_work.attempt(key, "cuts the picture into squares"):
            _cut(photograph)
    except own_work.UnderWay:
        return "under way"
    except own_work.GivenUp:
        log.error("Cutting photograph %s ended its worker each time", photograph.pk)
        return "failed"
    except store.StoreAway:
        own_work.forget(key)
        log.error("No store for the tiles of photograph %s", photograph.pk)
        return "waits"
    except (Image.DecompressionBombError, MemoryError, *pictures.BROKEN) as error:
        if pictures.is_passing(error):
            own_work.forget(key)
            log.error("No room or no store for the tiles of photograph %s", photograph.pk)
            return "waits"
        # Named by its key alone: the log holds no case content.
        log.exception("Photograph %s could not be cut into tiles", photograph.pk)
        own_work.give_up(key)
        return "failed"
    return "made"


def _cut(photograph: Photograph) -> None:
    with store.open_stored(photograph.file) as original:
        content = tiles.cut(pictures.upright(original))
    with store.receive(io.BytesIO(content), name="tiles") as incoming:
        actions.add_tiles(
            photograph.created_by,
            photograph_id=photograph.pk,
            method=tiles.METHOD,
            incoming=incoming.recognized(media_type="application/zip"),
        )


def ask_for_tiles(photograph_id: UUID) -> str:
    """Send the job unless it is on its way; return "waiting", or "failed" when it could not."""
    key = _key(photograph_id)
    if own_work.is_given_up(key):
        if own_work.is_given_up(key, for_good_after=FAILED_FOR):
            return "failed"
        own_work.forget(key)
    if own_work.due_to_send(key, patience=PATIENCE) and not sending.send(
        "evidence.photographs.tile_tasks.derive_tiles", photograph_id=str(photograph_id)
    ):
        own_work.not_sent(key)
    return "waiting"


def _key(photograph_id: UUID) -> UUID:
    return uuid5(photograph_id, "tiles")
