"""The courtroom screen: exhibits alone, and the pictures they are shown by."""

from __future__ import annotations

from uuid import UUID

from django.http import FileResponse, Http404, HttpResponse, HttpResponseBase
from django.shortcuts import render
from django.views.decorators.http import require_GET

from cases.access import Act, case_for
from cases.exhibits import queries
from evidence import store
from evidence.imaging import pictures
from me_office.accounts.requests import StaffRequest
from me_office.audit.actions import note_access

# Sharp when enlarged four times on a courtroom screen, and still quick to send.
LARGE_PX = 4096


@require_GET
def present(request: StaffRequest, case_id: UUID, set_id: UUID) -> HttpResponse:
    """Show the exhibits one at a time and nothing else of the case."""
    case = case_for(request.user, Act.SEE, case_id)
    shown = queries.set_of(case, set_id)
    note_access(request.user, case_id=case.pk, what="exhibits presented", record_id=shown.pk)
    exhibits = queries.with_lines(queries.exhibits_to_present(shown))
    context = {
        "case_id": case.pk,
        "exhibit_set": shown,
        "exhibits": exhibits,
        "has_lines": any(one.drawn for one in exhibits),
    }
    answer = render(request, "exhibits/present.html", context)
    answer["Cache-Control"] = "private, no-store"
    return answer


@require_GET
def picture(
    request: StaffRequest, case_id: UUID, set_id: UUID, exhibit_id: UUID, kind: str
) -> HttpResponseBase:
    """Send an exhibit's picture: the redacted copy where one stands, without metadata always."""
    case = case_for(request.user, Act.SEE, case_id)
    shown = queries.exhibit_of(case, set_id, exhibit_id)
    stored = queries.picture_of(shown, kind)
    if stored is None:
        raise Http404
    if kind != "thumb":
        note_access(request.user, case_id=case.pk, what="exhibit", record_id=shown.photograph_id)
    headers = {"Cache-Control": "private, no-store", "X-Content-Type-Options": "nosniff"}
    if stored == shown.photograph.file:
        with store.open_stored(stored) as original:
            copy = pictures.smaller_copy(original, longest_px=LARGE_PX)
        return HttpResponse(copy, content_type="image/jpeg", headers=headers)
    return FileResponse(store.open_stored(stored), content_type=stored.media_type, headers=headers)
