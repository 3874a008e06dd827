"""Sending stored bytes to those who may see them."""

from __future__ import annotations

from uuid import UUID

from django.http import Http404, HttpResponseBase
from django.views.decorators.http import require_safe

from cases.access import Act, case_for
from evidence.imaging import raw
from evidence.photographs import queries as photograph_queries
from evidence.photographs.views.viewer import note_look
from evidence.store.serving import send_file
from me_office.accounts.requests import StaffRequest
from me_office.audit.actions import note_access

NAMES = {
    "image/jpeg": "jpg",
    "image/png": "png",
    "image/tiff": "tif",
    "image/heic": "heic",
    "image/webp": "webp",
    **{media_type: ending.lstrip(".") for ending, media_type in raw.MEDIA_TYPES.items()},
}


@require_safe
def photograph_file(
    request: StaffRequest, case_id: UUID, photograph_id: UUID, kind: str
) -> HttpResponseBase:
    """Stream an original, or one of its smaller copies; looking at a picture is noted.

    A thumbnail is not noted by itself: the page that shows it is.
    """
    case = case_for(request.user, Act.SEE, case_id)
    shown = photograph_queries.photograph_of(case, photograph_id)
    stored = photograph_queries.file_of(shown, kind)
    if stored is None:
        raise Http404
    original = kind == "original"
    if kind == "screen":
        note_look(request, case, shown.pk)
    elif original and request.method == "GET":
        what = "original, in part" if "Range" in request.headers else "original"
        note_access(request.user, case_id=case.pk, what=what, record_id=shown.pk)
    ending = NAMES.get(stored.media_type, "bin")
    name = f"{stored.sha256}.{ending}" if original else ""
    return send_file(request, stored, filename=name, as_attachment=original)
