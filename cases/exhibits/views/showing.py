"""The courtroom screen: exhibits alone, their pictures, and the window that the witness has."""

from __future__ import annotations

from uuid import UUID

from django.conf import settings
from django.http import FileResponse, Http404, HttpResponse, HttpResponseBase
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_GET

from cases.access import Act, case_for
from cases.exhibits import queries
from cases.exhibits.models import CourtMark
from cases.exhibits.presenting import notes_of, presented
from evidence import store
from evidence.imaging import pictures
from me_office.accounts.requests import StaffRequest
from me_office.audit.actions import note_access

# Sharp when enlarged four times on a courtroom screen, and still quick to send.
LARGE_PX = 4096


def office_clock() -> dict[str, object]:
    """Return the office's time for a page that goes on telling it by itself."""
    return {"now_ms": round(timezone.now().timestamp() * 1000), "zone": settings.TIME_ZONE}


@require_GET
def present(request: StaffRequest, case_id: UUID, set_id: UUID) -> HttpResponse:
    """Show the exhibits one at a time and nothing else of the case."""
    case = case_for(request.user, Act.SEE, case_id)
    shown = queries.set_of(case, set_id)
    note_access(request.user, case_id=case.pk, what="exhibits presented", record_id=shown.pk)
    exhibits = presented(queries.exhibits_to_present(shown))
    context = {
        "case_id": case.pk,
        "exhibit_set": shown,
        "exhibits": exhibits,
        "has_lines": any(one.has_lines for one in exhibits),
        "has_outlines": any(one.has_outlines for one in exhibits),
        "marked_by": CourtMark.MARKED_BY,
        **office_clock(),
    }
    answer = render(request, "exhibits/present.html", context)
    answer["Cache-Control"] = "private, no-store"
    return answer


@require_GET
def court_notes(request: StaffRequest, case_id: UUID, set_id: UUID) -> HttpResponse:
    """Show the witness, in a window of their own, what is recorded of what the court sees."""
    case = case_for(request.user, Act.SEE, case_id)
    shown = queries.set_of(case, set_id)
    note_access(request.user, case_id=case.pk, what="exhibits, witness's window", record_id=set_id)
    exhibits = presented(queries.exhibits_to_present(shown))
    notes = notes_of(request.user, case, shown)
    context = {
        "case": case,
        "exhibit_set": shown,
        "exhibits": [(one, notes.get(one.exhibit.pk, [])) for one in exhibits],
        **office_clock(),
    }
    answer = render(request, "exhibits/court_notes.html", context)
    answer["Cache-Control"] = "private, no-store"
    return answer


@require_GET
def picture(
    request: StaffRequest,
    case_id: UUID,
    set_id: UUID,
    exhibit_id: UUID,
    kind: str,
    photograph_id: UUID | None = None,
) -> HttpResponseBase:
    """Send an exhibit's picture: the redacted copy where one stands, without metadata always.

    `photograph_id` names one of a composite; without it, it is the first.
    """
    case = case_for(request.user, Act.SEE, case_id)
    shown = queries.picture_in(queries.exhibit_of(case, set_id, exhibit_id), photograph_id)
    stored = queries.picture_of(shown, kind)
    if stored is None:
        raise Http404
    if kind != "thumb":
        note_access(request.user, case_id=case.pk, what="exhibit", record_id=shown.photograph.pk)
    headers = {"Cache-Control": "private, no-store", "X-Content-Type-Options": "nosniff"}
    if stored == shown.photograph.file:
        with store.open_stored(stored) as original:
            copy = pictures.smaller_copy(original, longest_px=LARGE_PX)
        return HttpResponse(copy, content_type="image/jpeg", headers=headers)
    return FileResponse(store.open_stored(stored), content_type=stored.media_type, headers=headers)
