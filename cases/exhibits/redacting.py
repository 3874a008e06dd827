"""From drawn regions to a kept redaction: the copy is made before any row is locked."""

from __future__ import annotations

import io
from typing import Any
from uuid import UUID

from PIL import Image

from cases.access import Act, case_for
from cases.exhibits import actions, burning, queries
from cases.exhibits.actions import Burned
from cases.exhibits.models import Redaction, RedactionRequest
from cases.exhibits.rules import Region, WrongRegion, read_regions
from evidence import store
from evidence.imaging import pictures
from evidence.photographs.models import Photograph
from evidence.photographs.queries import photograph_of
from me_office.accounts.models import Staff
from me_office.audit.errors import Refused
from me_office.audit.records import require_reason
from me_office.jobs.actions import note_progress
from me_office.jobs.running import Stage

MEDIA_TYPE = "image/jpeg"


def size_of(photograph: Photograph) -> tuple[int, int] | None:
    """Return width and height of the original as it is seen; None before its copy is made."""
    copy = queries.screen_copy(photograph)
    if copy is None:
        return None
    with store.open_stored(copy) as file:
        return burning.upright_size(
            file, width_px=photograph.width_px, height_px=photograph.height_px
        )


def regions_on(photograph: Photograph, entries: Any) -> tuple[Region, ...]:
    """Return the regions as they can be drawn on this photograph. Raises Refused."""
    size = size_of(photograph)
    if size is None:
        raise Refused("The preview of this photograph is not ready. Try again in a moment.")
    try:
        return read_regions(entries, width_px=size[0], height_px=size[1])
    except WrongRegion as error:
        raise Refused(str(error), field="regions") from error


def preview_of(photograph: Photograph, regions: tuple[Region, ...]) -> bytes:
    """Return the screen-size copy as it would look."""
    size, copy = size_of(photograph), queries.screen_copy(photograph)
    if size is None or copy is None:
        raise Refused("The preview of this photograph is not ready. Try again in a moment.")
    with store.open_stored(copy) as file:
        return burning.preview(file, regions, width_px=size[0])


def ask(
    actor: Staff,
    *,
    case_id: UUID,
    photograph_id: UUID,
    record_id: UUID,
    version: int,
    entries: Any,
    reason: str,
) -> RedactionRequest:
    """Read what was drawn and ask for the copy.

    Raises NotAllowed, NotKnown, StaleRecord, Refused, Conflict.
    """
    case = case_for(actor, Act.PREPARE_EXHIBITS, case_id)
    photograph = photograph_of(case, photograph_id)
    require_reason(reason)
    return actions.request_redaction(
        actor,
        case_id=case_id,
        photograph_id=photograph_id,
        record_id=record_id,
        version=version,
        regions=regions_on(photograph, entries),
        reason=reason,
    )


def make(asked: RedactionRequest, *, reached: Stage = lambda stage: None) -> Redaction:
    """Make the copy that was asked for and keep it, by one action as the last step.

    `reached` is told each stage as it begins. Raises OfficeError.
    """
    reached("read")
    photograph = asked.photograph
    regions = regions_on(photograph, asked.regions)
    note_progress(asked.pk, percent=25, step="hides the regions")
    reached("draw")
    whole, screen = _copies(photograph, regions)
    note_progress(asked.pk, percent=80, step="puts the copy into the store")
    with (
        store.receive(io.BytesIO(whole), name="redacted") as whole_file,
        store.receive(io.BytesIO(screen), name="redacted") as screen_file,
    ):
        reached("publish")
        return actions.finish_redaction(
            asked.created_by,
            request_id=asked.pk,
            attempt=asked.attempts,
            burned=Burned(
                regions=regions,
                parent_sha256=photograph.file.sha256,
                operations=burning.operations(regions),
                software=burning.software(),
                whole=whole_file.recognized(media_type=MEDIA_TYPE),
                screen=screen_file.recognized(media_type=MEDIA_TYPE),
            ),
            reason=asked.why,
        )


def _copies(photograph: Photograph, regions: tuple[Region, ...]) -> tuple[bytes, bytes]:
    if not store.is_whole(photograph.file):
        raise Refused(
            "The stored original no longer has its digest. Nothing was made from it. Tell an "
            "administrator."
        )
    try:
        with store.open_stored(photograph.file) as original:
            return burning.redacted(original, regions)
    except (Image.DecompressionBombError, MemoryError, *pictures.BROKEN) as error:
        raise Refused("No copy of this photograph can be made here.") from error
