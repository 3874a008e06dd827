"""Sending a stored file to the browser that asked for it."""

from __future__ import annotations

from functools import partial

from django.http import HttpRequest, HttpResponseBase

from evidence.store.models import StoredFile
from evidence.store.reading import open_part
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
