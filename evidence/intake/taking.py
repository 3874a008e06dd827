"""From an uploaded file to a photograph: the one way that the page and the API share."""

from __future__ import annotations

from contextlib import suppress
from typing import Any
from uuid import UUID

from django.core.files.uploadedfile import UploadedFile
from django.db import transaction
from django.utils.dateparse import parse_datetime

from cases import access
from cases.access import Act
from evidence import store
from evidence.intake import checking, parts
from evidence.intake.actions import refuse_upload
from evidence.intake.models import PhotographUpload
from evidence.photographs import actions
from evidence.photographs import rules as photograph_rules
from evidence.photographs.models import Photograph
from evidence.store.uploads import said_beside
from me_office.accounts.models import Staff
from me_office.audit.errors import Conflict, Invalid, Refused
from me_office.entries import Entry


def take_in(
    actor: Staff,
    *,
    case_id: UUID,
    record_id: UUID,
    upload: UploadedFile[Any],
    entry: Entry,
    reason: str = "",
) -> Photograph:
    """Store, check and record one uploaded photograph; a refused one leaves nothing behind.

    Who may not add photographs is refused before a byte is stored; the action asks again.
    Raises NotKnown, NotAllowed, Refused, Conflict, Invalid.
    """
    access.case_for(actor, Act.PHOTOGRAPH, case_id)
    checking.check_size(upload.size or 0)
    upload.seek(0)
    with (
        said_beside(photograph_rules.FIELD),
        store.receive(upload, name=upload.name or "") as incoming,
    ):
        return actions.add_photograph(
            actor,
            case_id=case_id,
            record_id=record_id,
            incoming=checking.check_picture(incoming),
            entry=entry,
            reason=reason,
        )


def take_in_upload(upload: PhotographUpload) -> Photograph:
    """Make a photograph of a file that has come whole; again, it is the same photograph.

    A file that is refused is removed, and the refusal is kept with the upload.
    Raises NotKnown, NotAllowed, Refused, Conflict, Invalid.
    """
    if upload.photograph is not None:
        return upload.photograph
    if upload.refusal:
        raise Refused(upload.refusal, field=photograph_rules.FIELD)
    if upload.state != "complete":
        raise Conflict("This file has not been received completely.")
    try:
        photograph = _record(upload)
    except FileNotFoundError:
        # Another request took it in meanwhile and cleared the temporary place.
        upload.refresh_from_db()
        if upload.photograph is None:
            raise
        return upload.photograph
    except store.Damaged as error:  # what came stays, and can be taken in once that is restored
        raise Conflict(str(error), field=photograph_rules.FIELD) from error
    except (store.StoreFault, Refused, Conflict, Invalid) as error:
        refuse_upload(upload, getattr(error, "message", str(error)))
        if isinstance(error, store.StoreFault):
            raise Refused(f"{error} Send it again.", field=photograph_rules.FIELD) from error
        raise
    with suppress(store.StoreAway):  # the photograph is there; what is left is cleared later
        parts.keeper().remove(upload.pk)
    return photograph


def _record(upload: PhotographUpload) -> Photograph:
    with parts.keeper().gathered(upload) as whole:
        incoming = checking.check_picture(whole)
        with transaction.atomic():
            # The upload first, then the action's case: nobody locks them the other way round.
            now = PhotographUpload.objects.select_for_update(of=("self",)).get(pk=upload.pk)
            if now.photograph is not None:
                return now.photograph
            if now.state != "complete":
                raise Conflict("This upload is finished.")
            photograph = actions.add_photograph(
                upload.by,
                case_id=upload.case_id,
                record_id=upload.pk,
                incoming=incoming,
                entry=_entry(upload),
            )
            PhotographUpload.objects.filter(pk=upload.pk).update(
                state="taken in", photograph=photograph, claim=None
            )
    upload.photograph = photograph
    return photograph


def _entry(upload: PhotographUpload) -> dict[str, object]:
    entry = dict(upload.entry)
    if isinstance(entry.get("taken_at"), str):
        entry["taken_at"] = parse_datetime(entry["taken_at"])
    return entry
