"""Sending stored bytes to those who may see them."""

from __future__ import annotations

from uuid import UUID

from django.http import FileResponse, Http404, HttpRequest
from django.views.decorators.http import require_GET

from evidence import queries, raw, store
from evidence.models import Photograph, StoredFile
from evidence.views.viewer import note_look
from me_office.audit.actions import note_access

NAMES = {
    "image/jpeg": "jpg",
    "image/png": "png",
    "image/tiff": "tif",
    "image/heic": "heic",
    "image/webp": "webp",
    **{media_type: ending.lstrip(".") for ending, media_type in raw.MEDIA_TYPES.items()},
}


@require_GET
def photograph_file(
    request: HttpRequest, case_id: UUID, photograph_id: UUID, kind: str
) -> FileResponse:
    """Stream an original, or one of its smaller copies; looking at a picture is noted.

    A thumbnail is not noted by itself: the page that shows it is.
    """
    case = queries.case_to_see(request.user, case_id)
    shown = queries.photograph_of(case, photograph_id)
    stored = queries.file_of(shown, kind)
    if stored is None:
        raise Http404
    if kind == "screen":
        note_look(request, case, shown.pk)
    elif kind == "original":
        note_access(request.user, case_id=case.pk, what="original", record_id=shown.pk)
    return _streamed(stored, shown, original=kind == "original")


def _streamed(stored: StoredFile, shown: Photograph, *, original: bool) -> FileResponse:
    answer = FileResponse(
        store.open_stored(stored),
        as_attachment=original,
        filename=f"{stored.sha256}.{NAMES.get(stored.media_type, 'bin')}" if original else "",
        content_type=stored.media_type,
    )
    answer["Content-Length"] = str(stored.size_bytes)
    answer["Cache-Control"] = "private, no-store"
    answer["X-Content-Type-Options"] = "nosniff"
    # RFC 9530: who receives the bytes can compare them without this office's software.
    answer["Repr-Digest"] = f"sha-256=:{_base64(stored.sha256)}:"
    return answer


def _base64(sha256: str) -> str:
    from base64 import b64encode

    return b64encode(bytes.fromhex(sha256)).decode()
