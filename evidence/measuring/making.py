"""Work on a photograph's pixels outside any lock: making a copy, finding a corner."""

from __future__ import annotations

import hashlib
import io

import numpy as np
from PIL import Image

from evidence import store
from evidence.imaging import pictures
from evidence.measuring import actions, copy_rules, copying
from evidence.measuring.models import CopyRequest, DerivedCopy
from evidence.measuring.rules import CopyKind
from evidence.photographs.models import Photograph
from findings.calculations.photo_corner import Corner, find_corner
from me_office.audit.errors import Refused
from me_office.jobs.actions import note_progress
from me_office.jobs.running import Stage

AROUND_PX = 16


def make_copy(asked: CopyRequest, *, reached: Stage = lambda stage: None) -> DerivedCopy:
    """Make the copy that was asked for and keep it, by one action as the last step.

    `reached` is told each stage as it begins. Raises OfficeError.
    """
    reached("read")
    photograph, attempt = asked.photograph, asked.attempts
    operations = copy_rules.operations_for(
        CopyKind(asked.kind), asked.measurement, with_line=asked.with_line
    )
    parent = b"".join(store.original_chunks(photograph.file))
    if hashlib.sha256(parent).hexdigest() != photograph.file.sha256:
        raise Refused(
            "The stored original no longer has its digest. Nothing was made from it. Tell an "
            "administrator."
        )
    note_progress(asked.pk, percent=25, step="makes the picture")
    reached("draw")
    try:
        content, pixels = copying.make_copy(parent, operations)
    except (Image.DecompressionBombError, MemoryError, *pictures.BROKEN) as error:
        raise Refused(
            "No copy can be made from this kind of file; the original is intact.", field="kind"
        ) from error
    made: dict[str, object] = {
        "kind": asked.kind,
        "measurement": asked.measurement,
        "parent_sha256": photograph.file.sha256,
        "operations": operations,
        "software": copying.software(),
        "pixels_sha256": pixels,
        "note": asked.note,
    }
    note_progress(asked.pk, percent=80, step="puts the copy into the store")
    with store.receive(io.BytesIO(content), name=f"{asked.kind}.png") as incoming:
        reached("publish")
        return actions.finish_copy(
            asked.created_by,
            request_id=asked.pk,
            attempt=attempt,
            incoming=incoming.recognized(media_type="image/png"),
            made=made,
        )


def corner_near(photograph: Photograph, x: float, y: float) -> Corner | None:
    """The corner near a place of the upright original, or None where there is no clear one."""
    with store.open_stored(photograph.file) as file, Image.open(file) as original:
        upright = pictures.turned(original)
        left, top = int(x) - AROUND_PX, int(y) - AROUND_PX
        right, bottom = left + 2 * AROUND_PX, top + 2 * AROUND_PX
        # Before anything is cut out: no number is too far outside for an answer.
        if left < 0 or top < 0 or right > upright.width or bottom > upright.height:
            return None
        gray = np.asarray(upright.crop((left, top, right, bottom)).convert("L"), float)
    found = find_corner(gray, x - left, y - top)
    return Corner(found.x + left, found.y + top, found.moved_px) if found else None


def upright_picture(photograph: Photograph) -> tuple[bytes, str] | None:
    """The whole original as a browser can show it upright; None where it is that already."""
    if photograph.preview != "made":
        return None
    plain = photograph.file.media_type in {"image/jpeg", "image/png", "image/webp"}
    if plain and photograph.exif.get("orientation", 1) == 1:
        return None
    longest = max(photograph.width_px, photograph.height_px)
    with store.open_stored(photograph.file) as original:
        return pictures.smaller_copy(original, longest_px=longest), "image/jpeg"
