"""Work on a photograph's pixels outside any lock: making a copy, finding a corner."""

from __future__ import annotations

import io
from typing import Any
from uuid import UUID

import numpy as np
from PIL import Image, ImageOps

from cases import access
from cases.access import Act
from cases.models import Case
from evidence import pictures, store
from evidence.measuring import actions, copy_rules, copying, queries
from evidence.measuring.models import DerivedCopy
from evidence.measuring.rules import CopyKind
from evidence.models import Photograph
from evidence.queries import photograph_of
from findings.calculations.photo_corner import Corner, find_corner
from me_office.accounts.models import Staff
from me_office.audit.errors import NotKnown, Refused

AROUND_PX = 16


def make_copy(
    actor: Staff,
    *,
    case_id: UUID,
    record_id: UUID,
    photograph_id: UUID,
    measurement_id: UUID,
    kind: str,
    note: str = "",
    reason: str = "",
) -> DerivedCopy:
    """Make a copy of a photograph with a measurement, and keep it.

    Raises NotKnown, NotAllowed, Refused, Conflict.
    """
    case = Case.objects.filter(pk=case_id).first()
    if case is None:
        raise NotKnown("There is no such case.")
    access.require(actor, Act.PHOTOGRAPH, case)
    photograph = photograph_of(case, photograph_id)
    measurement = queries.measurement_of(case, measurement_id)
    if measurement.photograph_id != photograph.pk or measurement.is_voided:
        raise Refused("Choose a measurement of this photograph.", field="measurement")
    if kind not in set(CopyKind):
        raise Refused("Choose marked, rectified or cropped.", field="kind")
    operations = copy_rules.operations_for(CopyKind(kind), measurement)
    parent = b"".join(store.original_chunks(photograph.file))
    try:
        content, pixels = copying.make_copy(parent, operations)
    except (Image.DecompressionBombError, *pictures.BROKEN) as error:
        raise Refused(
            "No copy can be made from this kind of file; the original is whole.", field="kind"
        ) from error
    made: dict[str, Any] = {
        "kind": kind,
        "measurement": measurement,
        "parent_sha256": photograph.file.sha256,
        "operations": operations,
        "software": copying.software(),
        "pixels_sha256": pixels,
        "note": note.strip(),
    }
    with store.receive(io.BytesIO(content), name=f"{kind}.png") as incoming:
        return actions.add_copy(
            actor,
            case_id=case_id,
            record_id=record_id,
            photograph_id=photograph_id,
            incoming=incoming.recognised(media_type="image/png"),
            made=made,
            reason=reason,
        )


def corner_near(photograph: Photograph, x: float, y: float) -> Corner | None:
    """The corner near a place of the upright original, or None where there is no clear one."""
    with store.open_stored(photograph.file) as file, Image.open(file) as original:
        upright = ImageOps.exif_transpose(original)
        left, top = int(x) - AROUND_PX, int(y) - AROUND_PX
        part = upright.crop((left, top, left + 2 * AROUND_PX, top + 2 * AROUND_PX))
        gray = np.asarray(part.convert("L"), float)
        inside = (
            left >= 0
            and top >= 0
            and left + 2 * AROUND_PX <= upright.width
            and top + 2 * AROUND_PX <= upright.height
        )
    if not inside:
        return None
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
