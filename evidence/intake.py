"""From an uploaded file to a photograph: the one way that the page and the API share."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any
from uuid import UUID

from django.core.files.uploadedfile import UploadedFile

from cases import access
from cases.access import Act
from cases.models import Case
from evidence import actions, pictures, store
from evidence.models import Photograph
from me_office.accounts.models import Staff
from me_office.audit.errors import NotKnown


def take_in(
    actor: Staff,
    *,
    case_id: UUID,
    record_id: UUID,
    upload: UploadedFile,
    entry: Mapping[str, Any],
    reason: str = "",
) -> Photograph:
    """Store, check and record one uploaded photograph; a refused one leaves nothing behind.

    Who may not add photographs is refused before a byte is stored; the action asks again.
    Raises NotKnown, NotAllowed, Refused, Conflict, Invalid.
    """
    case = Case.objects.filter(pk=case_id).first()
    if case is None:
        raise NotKnown("There is no such case.")
    access.require(actor, Act.PHOTOGRAPH, case)
    pictures.check_size(upload.size or 0)
    upload.seek(0)
    with store.receive(upload, name=upload.name or "") as incoming:  # type: ignore[arg-type]
        return actions.add_photograph(
            actor,
            case_id=case_id,
            record_id=record_id,
            incoming=pictures.check_picture(incoming),
            entry=entry,
            reason=reason,
        )
