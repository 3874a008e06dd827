"""Sending a stored file to the browser that asked for it."""

from __future__ import annotations

from functools import partial
from uuid import UUID

from django.http import HttpRequest, HttpResponseBase

from evidence.store.models import StoredFile
from evidence.store.reading import open_part
from me_office.accounts.requests import StaffRequest
from me_office.audit.actions import note_access
from me_office.shell.ranges import StoredBytes, send_bytes


def send_file(
    request: HttpRequest,
    stored: StoredFile,
    *,
    filename: str = "",
    as_attachment: bool = True,
    media_type: str = "",
) -> HttpResponseBase:
    """Send a stored file, or the part of it that is asked for; `media_type` where not its own."""
    sent = StoredBytes(
        stored.sha256,
        stored.size_bytes,
        media_type or stored.media_type,
        filename=filename,
        as_attachment=as_attachment,
    )
    return send_bytes(request, sent, partial(open_part, stored.path))


def hand_over(
    request: StaffRequest,
    stored: StoredFile,
    *,
    case_id: UUID,
    record_id: UUID,
    what: str,
    filename: str,
    media_type: str = "",
) -> HttpResponseBase:
    """Send a file of a case, and note who fetched it; `what` says in the history which one."""
    if request.method == "GET":
        note_access(request.user, case_id=case_id, what=what, record_id=record_id)
    return send_file(request, stored, filename=filename, media_type=media_type)
